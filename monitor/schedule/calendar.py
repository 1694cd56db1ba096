"""Civil dates that recur, always counted from the anchor.

Stepping from one date to the next drifts: 31 January, 29 February, 29 March. So every
occurrence is anchor + n x interval, and a day that a month does not have becomes the
last day it does have: 29 February becomes 28 February, the 31st the end of the month.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from monitor.errors import InvalidInput

MONTH_NAMES = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
DAYS_PER_MONTH = 146_097 / 4800
"""Mean length of a month in the Gregorian calendar of 400 years. [d]"""

_LENGTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@dataclass(frozen=True, slots=True)
class Interval:
    """A step of the calendar; its parts are added, years and months first."""

    years: int = 0
    months: int = 0
    days: int = 0

    def __post_init__(self) -> None:
        parts = (self.years, self.months, self.days)
        if min(parts) < 0 or max(parts) == 0:
            raise InvalidInput(
                f"An interval of {self.in_words()} can not recur; "
                "give at least one day and nothing negative.",
                field="interval",
                code="sch-001",
            )

    @property
    def all_months(self) -> int:
        """Years and months together, in months."""
        return 12 * self.years + self.months

    @property
    def length_months(self) -> float:
        """Mean length, in months."""
        return self.all_months + self.days / DAYS_PER_MONTH

    @property
    def least_days(self) -> int:
        """A number of days that it is never shorter than. [d]"""
        return max(1, int(self.all_months * 30.4) - 3 + self.days)

    def in_words(self) -> str:
        """As people say it, such as "1 year 6 months"."""
        named = (
            (self.years, "year"),
            (self.months, "month"),
            (self.days, "day"),
        )
        return " ".join(counted(n, what) for n, what in named if n) or "0 days"


def occurrence(anchor: date, interval: Interval, n: int) -> date:
    """The n-th date after the anchor; 0 is the anchor, negative n lie before it.

    Examples
    --------
    >>> occurrence(date(2024, 1, 31), Interval(months=1), 3)
    datetime.date(2024, 4, 30)
    """
    try:
        on = months_after(anchor, n * interval.all_months)
        return on + timedelta(days=n * interval.days) if interval.days else on
    except (ValueError, OverflowError):
        raise InvalidInput(
            f"{n} times {interval.in_words()} from {in_words(anchor)} leaves the "
            "calendar of the years 1 to 9999.",
            code="sch-002",
        ) from None


def next_occurrence(anchor: date, interval: Interval, after: date) -> date:
    """The first date of the rhythm later than `after`, and later than the anchor.

    Examples
    --------
    >>> next_occurrence(date(2024, 2, 29), Interval(years=1), date(2027, 6, 1))
    datetime.date(2028, 2, 29)
    """
    step_days = interval.length_months * DAYS_PER_MONTH
    n = max(1, int((after - anchor).days / step_days) - 1)
    on = occurrence(anchor, interval, n)
    while on <= after:
        n += 1
        on = occurrence(anchor, interval, n)
    return on


def months_after(anchor: date, months: int) -> date:
    """The same day `months` later, or the end of the month where there is none."""
    years, month0 = divmod(anchor.month - 1 + months, 12)
    year = anchor.year + years
    if anchor.day <= 28:
        return date(year, month0 + 1, anchor.day)
    return date(year, month0 + 1, min(anchor.day, _length(year, month0)))


def in_words(on: date) -> str:
    """A date as people write it, whatever the machine's language: 14 March 2029."""
    return f"{on.day} {MONTH_NAMES[on.month - 1]} {on.year}"


def month_in_words(on: date) -> str:
    """Month and year, such as May 2032."""
    return f"{MONTH_NAMES[on.month - 1]} {on.year}"


def counted(n: int, what: str) -> str:
    """A number with its noun, such as "1 month" or "12 months"."""
    return f"{n} {what}" if n == 1 else f"{n} {what}s"


def _length(year: int, month0: int) -> int:
    is_leap = year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
    return 29 if month0 == 1 and is_leap else _LENGTHS[month0]
