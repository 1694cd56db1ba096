"""What the times of an entry say about each other: late, ahead, or back.

Three times are kept apart: the day or instant that the entry is about, the clock of the
device, and the clock of the server; the number of the entry is the order that counts.
Limits are common practice, no source.
"""

import json
from datetime import date, datetime, timedelta

from monitor.domain.ledger import Change

LATE_AFTER = timedelta(days=7)
AHEAD_AFTER = timedelta(minutes=10)
_DAYS = ("inspected_on", "done_on", "happened_on", "taken_on")


def time_flags(change: Change, *, before: datetime | None = None) -> tuple[str, ...]:
    """Sentences about times that do not fit; empty if all do.

    Parameters
    ----------
    before : server time of the entry before, if it is known
    """
    found = []
    late = _late_days(change)
    if late:
        found.append(f"entered {late} days after")
    device = change.device_at
    if device is not None and device - change.recorded_at > AHEAD_AFTER:
        found.append("the device's clock was ahead of the server's")
    if before is not None and change.recorded_at < before:
        found.append("the server's clock had gone back")
    return tuple(found)


def _late_days(change: Change) -> int:
    """Days between what it is about and the day it was recorded, if that is late."""
    told = [on for on in (_about(change), _day(change.device_at)) if on is not None]
    if not told:
        return 0
    days = (change.recorded_at.date() - min(told)).days
    return days if timedelta(days=days) > LATE_AFTER else 0


def _day(at: datetime | None) -> date | None:
    return at.date() if at is not None else None


def _about(change: Change) -> date | None:
    """The day of the visit, work or event that a payload tells of."""
    said = json.loads(change.payload)
    if not isinstance(said, dict) or "was" in said:
        return None  # a correction is late by nature
    for part in (said, *(v for v in said.values() if isinstance(v, dict))):
        for name in _DAYS:
            if isinstance(part.get(name), str):
                return date.fromisoformat(part[name][:10])
    return None
