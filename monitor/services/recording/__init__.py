"""What is written down: new supports, visits, works, and their corrections."""
