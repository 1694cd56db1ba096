"""Everything of Underprop that is HTTP."""
