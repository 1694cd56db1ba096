"""What runs by itself, in one process that holds a lease."""
