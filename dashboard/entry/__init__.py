"""Ways in, as addresses: the door, links, keys of programs, one's own account."""
