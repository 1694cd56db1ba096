"""What is owed, when, and who goes."""
