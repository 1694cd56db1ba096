"""Use-cases, one verb a module. Each takes a session, and the time, from its caller."""
