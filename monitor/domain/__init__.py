"""The words of the trade as enums, catalogues and frozen records. No I/O, no clock."""
