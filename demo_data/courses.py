"""How true values move, known here and hidden from the analysis."""

import math
from dataclasses import dataclass
from datetime import date

YEAR = 365.25


@dataclass(frozen=True, slots=True)
class Course:
    """The true value of one quantity between two works.

    Attributes
    ----------
    starts_on : first day of this stretch
    start : true value then, without season [unit]
    rate : change once it moves [unit per year]
    moves_from : day the movement begins, None for from the start
    bedding : change that wears off within the first year or so [unit]
    season : half the swing over a year, highest in early September [unit]
    floor : the value never goes below it [unit]
    closing_years : a wound closes to a third of its width in so long, 0 for no wound
    """

    starts_on: date
    start: float
    rate: float = 0.0
    moves_from: date | None = None
    bedding: float = 0.0
    season: float = 0.0
    floor: float | None = None
    closing_years: float = 0.0

    def at(self, on: date) -> float:
        """True value on a day. [unit]"""
        age = max(0.0, (on - self.starts_on).days / YEAR)
        moving = max(0.0, (on - (self.moves_from or self.starts_on)).days / YEAR)
        if self.closing_years:
            return self.start * math.exp(-age / self.closing_years)
        value = self.start + self.rate * moving
        value += self.bedding * (1.0 - math.exp(-age / 0.6))
        value += self.season * (swing(on) - swing(self.starts_on))
        return value if self.floor is None else max(self.floor, value)

    @property
    def name(self) -> str:
        """What kind of course it is, in one word."""
        if self.closing_years:
            return "closing"
        if self.rate and self.moves_from:
            return "late"
        if self.rate:
            return "moving"
        return "seasonal" if self.season else "still"


def swing(on: date) -> float:
    """Season from -1 in early March to +1 in early September."""
    day = on.timetuple().tm_yday
    return math.cos(2.0 * math.pi * (day - 248) / YEAR)


def in_force(courses: tuple[Course, ...], on: date) -> Course:
    """The stretch that holds on a day; the first one before all of them."""
    started = [course for course in courses if course.starts_on <= on]
    return started[-1] if started else courses[0]
