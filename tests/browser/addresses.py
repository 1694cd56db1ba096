"""Every page there is, as an address of the small world; taken from the program."""

import re

from dashboard.app import PAGES
from dashboard.guides.shelf import GUIDES

ABSENT = frozenset({"round"})
"""Pages of things that the small world does not hold: no round is agreed there."""

LONG = frozenset({"dictionary", "reference"})
"""Guides of hundreds of lines alike, which take minutes to look over."""

_PARTS = {"code": "S-0101"}


def dash_pages() -> list[str]:
    """The addresses of the pages of the application."""
    found = []
    for page in PAGES:
        if page.NAME == "guide":
            found += [f"/guides/{one.name}" for one in GUIDES if one.name not in LONG]
        elif page.NAME not in ABSENT:
            found.append(re.sub(r"<(\w+)>", lambda m: _PARTS[m.group(1)], page.PATH))
    return found
