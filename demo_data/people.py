"""The inspectors, by first name only, the years they served and how they write."""

import random
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Inspector:
    """Someone who goes round, with a habit of writing numbers down."""

    name: str
    first_year: int
    last_year: int
    habit: str


INSPECTORS = (
    Inspector("Oswin", 1964, 1974, "inches"),
    Inspector("Hedra", 1964, 1979, "inches"),
    Inspector("Torvald", 1972, 1994, "plain"),
    Inspector("Wenna", 1980, 2006, "unit in the cell"),
    Inspector("Bram", 1988, 2012, "centimetres"),
    Inspector("Ilse", 1996, 2022, "plain"),
    Inspector("Perran", 2004, 2026, "degrees"),
    Inspector("Tamsin", 2009, 2026, "comma"),
    Inspector("Edda", 2013, 2026, "plain"),
    Inspector("Corin", 2018, 2026, "unit in the cell"),
)

_METRIC_SINCE = 1974


def on_duty(rng: random.Random, on: date) -> Inspector:
    """One of those who served that year."""
    serving = [i for i in INSPECTORS if i.first_year <= on.year <= i.last_year]
    return rng.choice(serving)


def habit_of(inspector: Inspector, on: date) -> str:
    """How that person wrote numbers that year; all went metric in 1974."""
    if inspector.habit == "inches" and on.year >= _METRIC_SINCE:
        return "plain"
    return inspector.habit


def leaf_on(on: date) -> str:
    """What the crowns look like on such a day in Velmarsh."""
    day = (on.month, on.day)
    if (4, 20) <= day <= (10, 10):
        return "in leaf"
    return "turning" if (10, 10) < day <= (11, 12) else "leafless"


def air_on(rng: random.Random, on: date) -> str:
    """Air temperature as noted, often not noted in the early years. [degC]"""
    if on.year < 1985 and rng.random() < 0.7:
        return ""
    usual = (4, 5, 7, 10, 13, 16, 18, 18, 16, 13, 8, 5)[on.month - 1]
    return str(round(rng.gauss(usual, 2.5)))
