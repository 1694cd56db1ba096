"""Hours of the day as people type them."""

import re

from monitor.errors import InvalidInput

_TIME = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")


def parse_minute(text: str) -> int:
    """Minute of the day of a time such as "07:00".

    Examples
    --------
    >>> parse_minute("7:30")
    450
    """
    match = _TIME.fullmatch(text.strip())
    if match is None:
        raise InvalidInput(
            f"Found “{text}”, expected a time such as 07:00.",
            field="at",
            code="ntc-007",
        )
    return int(match[1]) * 60 + int(match[2])


def parse_hours(text: str) -> tuple[int, int] | None:
    """First and last minute of hours such as "21:00-06:00"; None for "never".

    Examples
    --------
    >>> parse_hours("21:00-06:00")
    (1260, 360)
    """
    plain = text.strip().replace("–", "-")
    if plain.casefold() in {"", "never"}:
        return None
    start, sep, end = plain.partition("-")
    if not sep or parse_minute(start) == parse_minute(end):
        raise InvalidInput(
            f"Found “{text}”, expected hours such as 21:00-06:00, or “never”.",
            field="quiet",
            code="ntc-008",
        )
    return parse_minute(start), parse_minute(end)


def in_words(minute: int) -> str:
    """A minute of the day as a time.

    Examples
    --------
    >>> in_words(450)
    '07:30'
    """
    return f"{minute // 60:02}:{minute % 60:02}"
