"""Papers for people: blocks in, the bytes of a PDF out.

A paper is a list of plain blocks; one template sets them. What people wrote travels as
data and is never read as markup. Nothing here knows the record or the time.
"""
