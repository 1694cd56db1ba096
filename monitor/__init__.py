"""Everything of Underprop that is not HTTP."""
