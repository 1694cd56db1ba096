"""Numbers, dates and lists as people read them."""

from collections.abc import Sequence
from datetime import date, timedelta

from monitor.domain.conclusions import Dates
from monitor.units import show
from monitor.units.display import THIN_SPACE

CAUTION = (
    "Screening only. Local code, a qualified arborist and a licensed engineer decide."
)
EN_DASH = "–"
_SMALL = (
    "no", "one", "two", "three", "four", "five", "six",
    "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip
_NEAR = timedelta(days=3 * 365)


def day(on: date) -> str:
    """A date, such as “14 May 2031”."""
    return f"{on.day} {on:%B %Y}"


def month(on: date) -> str:
    """A month, such as “May 2031”."""
    return f"{on:%B %Y}"


def counted(n: int, one: str, many: str = "") -> str:
    """How many, small numbers in words: “three supports”.

    Examples
    --------
    >>> counted(1, "support"), counted(40, "support")
    ('one support', '40 supports')
    """
    number = _SMALL[n] if n < len(_SMALL) else str(n)
    return f"{number} {one if n == 1 else many or one + 's'}"


def sentence(text: str) -> str:
    """The same text with a capital first letter."""
    return text[:1].upper() + text[1:]


def listed(words: Sequence[str]) -> str:
    """Words in a row: “post, pin and cable”."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def between(low: float, high: float, unit: str) -> str:
    """A range with its unit once: “1.1 to 1.9 mm”."""
    first, last = show(low, unit), show(high, unit)
    number, space, _ = first.partition(THIN_SPACE)
    return f"{number if space else first} to {last}"


def reached(dates: Dates, today: date) -> str:
    """When a limit is reached, as a clause; months only within three years.

    Examples
    --------
    >>> reached(Dates(date(2034, 1, 1), date(2037, 1, 1), date(2043, 1, 1)),
    ...         date(2026, 6, 1))
    'between 2034 and 2043, most likely 2037'
    """
    if dates.early is None:
        return "not within 100 years, even at the fast bound"
    if dates.early <= today and dates.median is not None and dates.median <= today:
        return "reached already"
    early = "now" if dates.early <= today else _when(dates.early, today)
    if dates.median is None:
        return f"{early} at the earliest, most likely not within 100 years"
    likely = _when(dates.median, today)
    if dates.late is None:
        return f"{early} at the earliest, most likely {likely}, perhaps never"
    late = _when(dates.late, today)
    if early == late:
        return f"in {early}"
    return f"between {early} and {late}, most likely {likely}"


def _when(on: date, today: date) -> str:
    return month(on) if on <= today + _NEAR else str(on.year)


def ago(on: date, today: date) -> str:
    """How long ago, roughly: “three years ago”."""
    days = (today - on).days
    if days < 1:
        return "today"
    if days < 60:
        return f"{counted(days, 'day')} ago"
    if days < 700:
        return f"{counted(round(days / 30.44), 'month')} ago"
    return f"{counted(round(days / 365.25), 'year')} ago"
