"""Trials with real processes: killed, cut off from power, out of room, out of order."""
