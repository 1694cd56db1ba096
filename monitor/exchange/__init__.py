"""What comes in: spreadsheets, their headings and their dates, as plain text cells."""
