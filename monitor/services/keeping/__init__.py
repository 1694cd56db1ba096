"""What keeps the record whole for a century: verify, back up, archive, erase."""
