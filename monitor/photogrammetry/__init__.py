"""A photograph as a rule: markers of known size, the plane they span, and outlines.

Arrays and numbers in, frozen records out; no files, no clock.
"""
