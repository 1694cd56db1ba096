"""What people are told, when, and how it leaves the house."""
