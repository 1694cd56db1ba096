"""Numbers, dates and lists as people read them."""

from datetime import date

from monitor.mechanics.screening import CAUTION
from monitor.services.showing.phrases import listed, reached
from monitor.units import show
from monitor.units.display import THIN_SPACE

__all__ = [
    "CAUTION", "EN_DASH", "ago", "between", "counted", "day", "listed", "month",
    "reached", "sentence",
]  # fmt: skip

EN_DASH = "–"
_SMALL = (
    "no", "one", "two", "three", "four", "five", "six",
    "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip


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


def between(low: float, high: float, unit: str) -> str:
    """A range with its unit once: “1.1 to 1.9 mm”."""
    first, last = show(low, unit), show(high, unit)
    number, space, _ = first.partition(THIN_SPACE)
    return f"{number if space else first} to {last}"


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
