"""The invented city of Velmarsh: its supports, its inspections, the hidden truth."""
