"""How well rounds are planned, against the orders people use without a plan."""
