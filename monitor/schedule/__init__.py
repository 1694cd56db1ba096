"""When to look again, and why: pure rules over dates, policies and outlooks."""
