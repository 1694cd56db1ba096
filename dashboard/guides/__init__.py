"""Guides, method notes and the data dictionary: texts that travel with the program."""
