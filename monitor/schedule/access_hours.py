"""Hours of a day as people type them: when a site is open, when somebody works."""

import re

from monitor.errors import InvalidInput
from monitor.schedule.round_task import clock

_HOURS = re.compile(r"(\d{1,2}):(\d\d)\s*-\s*(\d{1,2}):(\d\d)")


def parse_hours(text: str) -> tuple[int, int]:
    """Read hours such as 9:00-14:30. [minute of the day].

    Raises
    ------
    InvalidInput : no hours, or hours that end before they begin
    """
    match = _HOURS.fullmatch(text.strip().replace("–", "-"))
    if match is not None:
        h1, m1, h2, m2 = (int(part) for part in match.groups())
        begins, ends = 60 * h1 + m1, 60 * h2 + m2
        if m1 < 60 and m2 < 60 and begins < ends <= 24 * 60:
            return begins, ends
    raise InvalidInput(
        f"“{text.strip()[:40]}” are no hours; expected such as 9:00-14:30.",
        field="hours",
        code="rnd-008",
    )


def checked_hours(text: str) -> str:
    """Hours as typed, in the usual spelling; empty for any time.

    Raises
    ------
    InvalidInput : they are no hours, or end before they begin

    Examples
    --------
    >>> checked_hours("9:00 - 14:30")
    '09:00-14:30'
    """
    if not text.strip():
        return ""
    begins, ends = parse_hours(text)
    return f"{clock(begins)}-{clock(ends)}"
