"""Invented views of known shapes, to see how true the measuring is."""
