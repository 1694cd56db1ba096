"""Lists from spreadsheets, read whole or refused whole."""
