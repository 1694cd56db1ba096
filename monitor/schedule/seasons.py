"""Seasons in which a site is left alone, and how a date gets out of them.

A season returns every year and may run over the new year. It never silently makes an
inspection late: where no free day is left in time, the date stays and the remark says
so, because a nest or a market is a reason to ask for leave, not to stop looking.
"""

import re
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from monitor.errors import InvalidInput
from monitor.schedule.calendar import MONTH_NAMES, in_words

_DAY = timedelta(days=1)
_PATTERN = re.compile(r"(\d\d)-(\d\d)\s*/\s*(\d\d)-(\d\d)(?:\s+(.+))?")
_MOST_JUMPS = 24


@dataclass(frozen=True, slots=True)
class Season:
    """A no-go season, both days included.

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

    def in_words(self) -> str:
        """Such as "the nesting season (1 March to 31 August)"."""
        name = self.name.removesuffix(" season")
        return f"the {name} season ({_day(self.first)} to {_day(self.last)})"


@dataclass(frozen=True, slots=True)
class Placed:
    """A day for an inspection, and what is to be said of it.

    Attributes
    ----------
    remark : a clause such as "moved from ...", empty if nothing was in the way
    """

    on: date
    remark: str


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


def place(
    due_on: date, late_on: date, seasons: tuple[Season, ...], today: date
) -> Placed:
    """Move a due date out of the seasons, if that can be done in time.

    Earlier where a day from today on is still free; else the first free day, unless
    that is later than `late_on`: then the date stays and the remark says why.
    """
    season = season_of(due_on, seasons)
    if season is None:
        return Placed(due_on, "")
    before = free_before(due_on, seasons)
    if before is not None and before >= today:
        return Placed(before, _moved(due_on, season))
    after = free_after(due_on, seasons)
    if after is not None and after <= late_on:
        return Placed(after, _moved(due_on, season))
    return Placed(due_on, _kept(season, after, late_on))


def season_of(on: date, seasons: tuple[Season, ...]) -> Season | None:
    """The season that holds the day, if any."""
    return next((season for season in seasons if season.holds(on)), None)


def free_before(on: date, seasons: tuple[Season, ...]) -> date | None:
    """The last day up to `on` in no season; None if there is none in sight."""
    for _ in range(_MOST_JUMPS):
        season = season_of(on, seasons)
        if season is None:
            return on
        on = season.began(on) - _DAY
    return None


def free_after(on: date, seasons: tuple[Season, ...]) -> date | None:
    """The first day from `on` in no season; None if there is none in sight."""
    for _ in range(_MOST_JUMPS):
        season = season_of(on, seasons)
        if season is None:
            return on
        on = season.ends(on) + _DAY
    return None


def _moved(from_on: date, season: Season) -> str:
    return f"moved from {in_words(from_on)}, which falls in {season.in_words()}"


def _kept(season: Season, after: date | None, late_on: date) -> str:
    when = (
        "there is no free day"
        if after is None
        else f"it is free from {in_words(after)}"
    )
    return (
        f"this falls in {season.in_words()} and {when}, later than the latest day "
        f"allowed, {in_words(late_on)}, so the date stays: ask for leave or look "
        "from outside"
    )


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
