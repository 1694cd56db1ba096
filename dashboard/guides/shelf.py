"""The documents of the program: who each is for, and its text."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from dashboard.guides import dictionary, methods

_MADE = re.compile(r"^<!-- made: (\w+) -->$", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Guide:
    """One document.

    Attributes
    ----------
    name : last part of its address, and of its file
    title : as on its first line
    about : whom it is for and what it answers, in one sentence
    """

    name: str
    title: str
    about: str


GUIDES = (
    Guide("office", "For the office", "What is owed, who goes, what came in."),
    Guide("inspector", "For the inspector", "The field form, with and without signal."),
    Guide("forester", "For the municipal forester", "The budget, and its defence."),
    Guide("owner", "For the owner of a tree", "What a report says, and what not."),
    Guide("administrator", "For the administrator", "Install, back up, restore."),
    Guide("expert", "For the auditor or expert", "Is this what was written?"),
    Guide("methods", "Method notes", "Formulas, models and limits with their sources."),
    Guide("dictionary", "Data dictionary", "Every quantity, word, list and table."),
    Guide("reference", "Commands and settings", "Every one, and exit codes."),
)

MADE: dict[str, Callable[[], str]] = {
    "mechanics": methods.mechanics,
    "weakest": methods.weakest,
    "trends": methods.trends,
    "numbers": methods.numbers,
    "laws": methods.laws,
    "vocabulary": methods.vocabulary,
    "limits": methods.limits,
    "schedule": methods.schedule,
    "quantities": dictionary.quantities,
    "measuring": dictionary.methods,
    "facts": dictionary.facts,
    "findings": dictionary.findings,
    "words": dictionary.words,
    "rights": dictionary.rights,
    "units": dictionary.units,
    "lists": dictionary.lists,
    "store": dictionary.store,
}
"""What a line `<!-- made: NAME -->` of a document stands for."""


def guide(name: str) -> Guide | None:
    """The document of that name, or None."""
    return next((one for one in GUIDES if one.name == name), None)


@cache
def text_of(name: str) -> str:
    """The whole text of a document, with the parts that the code makes."""
    written = (files("dashboard.guides") / f"{name}.md").read_text("utf-8")
    return _MADE.sub(lambda found: MADE[found[1]](), written)
