"""Ways in: passwords, keys that are given out, second factors, patience."""
