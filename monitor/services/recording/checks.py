"""Saying no, or asking back, with the thing, what was found and what was expected."""

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from functools import lru_cache
from typing import TypeVar

from monitor.errors import InvalidInput, UnclearNumber
from monitor.units import Measure, parse
from monitor.units.grammar import read
from monitor.units.vocabulary import quoted

W = TypeVar("W", bound=StrEnum)

HEAD = -1
LONGEST_TEXT = 4000
"""Characters of one text that a person writes, such as a note."""


@dataclass(frozen=True, slots=True)
class Stamp:
    """Who makes an entry, and when it reaches the record."""

    actor: str
    now: datetime


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with what was given.

    Attributes
    ----------
    field : which field, by our name for it
    part : number of the reading or finding in the order given, `HEAD` for the whole
    """

    field: str
    found: str
    expected: str
    part: int = HEAD

    def __str__(self) -> str:
        where = self.field if self.part == HEAD else f"{self.field} ({self.part + 1})"
        found = f"found “{self.found}”, " if self.found else ""
        return f"{where}: {found}expected {self.expected}."


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something possible but surprising: a question to the person, never a correction.

    Attributes
    ----------
    key : names the doubt, such as "P1/face/tilt_x/1"; whoever is sure says so by it
    question : one sentence
    """

    key: str
    field: str
    found: str
    question: str
    part: int = HEAD


def refuse(what: str, problems: Sequence[Problem]) -> None:
    """Raise one error that names every problem, if there is any."""
    if problems:
        said = " ".join(str(problem) for problem in problems)
        raise InvalidInput(
            f"{what} was not taken, nothing was written. {said}",
            field=problems[0].field,
            code="rec-001",
        )


def ask(what: str, doubts: Sequence[Doubt], sure: Iterable[str]) -> None:
    """Raise one error that asks every question the person has not answered yet."""
    answered = set(sure)
    open_doubts = [doubt for doubt in doubts if doubt.key not in answered]
    if open_doubts:
        asked = " ".join(f"{doubt.question} [{doubt.key}]" for doubt in open_doubts)
        raise InvalidInput(
            f"{what} was not taken yet, nothing was written. {asked} Correct it, or "
            "name what stands in brackets as sure.",
            field=open_doubts[0].field,
            code="rec-002",
        )


@lru_cache(maxsize=65_536)
def plain(code: str) -> str:
    """A code or word without the accidents of typing: case and spare spaces."""
    return " ".join(code.split()).casefold()


def too_long(field: str, text: str) -> list["Problem"]:
    """What is wrong with a text that nobody could read on a paper."""
    if len(text) <= LONGEST_TEXT:
        return []
    expected = f"at most {LONGEST_TEXT} characters, not {len(text)}"
    return [Problem(field, f"{text[:40]}…", expected)]


def near(found: str, known: Iterable[str], *, most: int = 3) -> str:
    """A hint that names the nearest of what is known, empty if nothing is near.

    Examples
    --------
    >>> near("S-0124", ["S-0142", "S-0900"])
    '; did you mean “S-0142”?'
    """
    by_plain = {plain(word): word for word in known}
    close = difflib.get_close_matches(plain(found), by_plain, most, 0.7)
    names = " or ".join(f"“{by_plain[word]}”" for word in close)
    return f"; did you mean {names}?" if names else ""


@lru_cache(maxsize=4096)
def word(kind: type[W], text: str) -> W | None:
    """One of our words as typed by a person, or None."""
    wanted = plain(text.replace("_", " "))
    return next((w for w in kind if plain(w.value) == wanted), None)


def one_of(kind: type[StrEnum]) -> str:
    """The words of a kind, for a sentence."""
    return "one of " + ", ".join(w.value for w in kind)


@dataclass(frozen=True, slots=True)
class Wanted:
    """What number is expected.

    Attributes
    ----------
    label : as people say it
    unit : canonical
    low, high : physical range [unit], None if open
    """

    label: str
    unit: str
    low: float | None = None
    high: float | None = None


@lru_cache(maxsize=65_536)
def number(text: str, given_unit: str, wanted: Wanted) -> Measure | str:
    """The measure a text holds, or what was expected instead."""
    try:
        return parse(
            text,
            wanted.unit,
            given_unit=given_unit or None,
            low=wanted.low,
            high=wanted.high,
        )
    except UnclearNumber as no:
        detail = no.message.removeprefix(f"Found {quoted(text)}. ").rstrip(".")
        return f"{wanted.label} in {wanted.unit}. {detail}"


@lru_cache(maxsize=65_536)
def with_unit(measure: Measure, unit: str) -> str:
    """The text as typed, with the unit of its heading where it has none of its own."""
    if not unit or read(measure.text).unit:
        return measure.text
    return f"{measure.text} {unit}"


def spoken(on: date) -> str:
    """A date as people say it, such as “14 May 2031”."""
    return f"{on:%-d %B %Y}"
