"""Turns of phrase that pages and papers share."""

from collections.abc import Sequence
from datetime import date, timedelta

from monitor.domain.conclusions import Dates

_NEAR = timedelta(days=3 * 365)


def listed(words: Sequence[str]) -> str:
    """Words in a row: “post, pin and cable”."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def reached(dates: Dates, today: date) -> str:
    """When a limit is reached, as a clause with its bounds (5 %, half, 95 %).

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


def _when(day: date, today: date) -> str:
    """A month within three years, else a year."""
    return f"{day:%B %Y}" if day <= today + _NEAR else str(day.year)
