"""Frozen views that pages and commands read."""
