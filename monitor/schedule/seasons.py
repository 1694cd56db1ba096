"""Seasons in which a site is left alone: they return every year."""

import re
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from monitor.errors import InvalidInput
from monitor.schedule.calendar import MONTH_NAMES

_PATTERN = re.compile(r"(\d\d)-(\d\d)\s*/\s*(\d\d)-(\d\d)(?:\s+(.+))?")


@dataclass(frozen=True, slots=True)
class Season:
    """A season, both days included; it may run over the new year.

    Attributes
    ----------
    first, last : month and day; first may be later in the year than last
    name : what is going on, such as "nesting"
    """

    first: tuple[int, int]
    last: tuple[int, int]
    name: str

    def holds(self, on: date) -> bool:
        """Whether the day falls in the season."""
        day = (on.month, on.day)
        if self.first <= self.last:
            return self.first <= day <= self.last
        return day >= self.first or day <= self.last

    def began(self, on: date) -> date:
        """First day of the run of the season that holds `on`."""
        year = on.year if (on.month, on.day) >= self.first else on.year - 1
        return date(year, *self.first)

    def ends(self, on: date) -> date:
        """Last day of the run of the season that holds `on`."""
        year = on.year if (on.month, on.day) <= self.last else on.year + 1
        return date(year, *self.last)

    def falls(self) -> str:
        """Such as "falls in the nesting season (1 March to 31 August)"."""
        name = self.name.removesuffix(" season")
        return f"falls in the {name} season ({_day(self.first)} to {_day(self.last)})"


@lru_cache(maxsize=512)
def parse_seasons(text: str) -> tuple[Season, ...]:
    """Read seasons as typed: "03-01/08-31 nesting; 12-15/01-05 market".

    Raises
    ------
    InvalidInput
        naming the part that can not be read and what is expected
    """
    parts = (part.strip() for part in text.split(";"))
    return tuple(_parse_one(part) for part in parts if part)


def day_before(day: tuple[int, int]) -> tuple[int, int]:
    """The month and day before, as in a common year."""
    on = date(2001, *day) - timedelta(days=1)
    return on.month, on.day


def _day(day: tuple[int, int]) -> str:
    return f"{day[1]} {MONTH_NAMES[day[0] - 1]}"


def _parse_one(part: str) -> Season:
    match = _PATTERN.fullmatch(part)
    if match is None:
        raise _refusal(part, "a season such as “03-01/08-31 nesting”")
    month1, day1, month2, day2 = (int(group) for group in match.groups()[:4])
    for month, day in ((month1, day1), (month2, day2)):
        _check_day(part, month, day)
    return Season((month1, day1), (month2, day2), (match.group(5) or "quiet").strip())


def _check_day(part: str, month: int, day: int) -> None:
    try:
        date(2001, month, day)  # not a leap year: every year must have the day
    except ValueError:
        raise _refusal(
            part, f"month-day that every year has instead of {month:02}-{day:02}"
        ) from None


def _refusal(part: str, expected: str) -> InvalidInput:
    return InvalidInput(
        f"Season “{part}”: expected {expected}.", field="quiet_seasons", code="sch-003"
    )
