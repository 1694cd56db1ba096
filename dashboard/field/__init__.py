"""The revisit form: plain HTML and scripts that work without a network."""
