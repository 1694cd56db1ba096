"""What is left of a member, by physics: screening through the years."""
