"""The mark of the program: a limb and the prop beneath it."""

ICON = (
    "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 64 60'"
    "%3E%3Cpath d='M3 44 C14 20 22 12 61 9' fill='none' stroke='%237a4526' "
    "stroke-width='7' stroke-linecap='round'/%3E%3Cpath d='M40 13 L45 54M33 55h24' "
    "stroke='%237a4526' stroke-width='5'/%3E%3C/svg%3E"
)
"""For the tab of the browser."""
