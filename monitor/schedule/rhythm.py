"""Anchored recurrence: a late visit keeps the rhythm, one far too early restarts it.

The rule is Army aviation practice for calendar inspections: done inside the window, the
next one counts from the due date; done before the window opened, from the day it was
done. A visit after the window closed keeps the anchor as well, so a habit of being late
does not stretch the interval.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from monitor.schedule.calendar import Interval, next_occurrence, occurrence


@dataclass(frozen=True, slots=True)
class Beat:
    """The next date of a rhythm, and what it is counted from."""

    due_on: date
    anchor_on: date


def next_beat(
    anchor_on: date, visits: Sequence[date], interval: Interval, opening_days: int
) -> Beat:
    """Walk through the visits and return the date that is owed next.

    Parameters
    ----------
    visits : days on which it was done, in order
    opening_days : how long before its date an inspection counts for it [d]
    """
    opening = timedelta(days=opening_days)
    due_on: date | None = None
    surely_early = interval.least_days - opening_days
    for visit in visits:
        if (visit - anchor_on).days < surely_early and due_on is None:
            anchor_on = max(anchor_on, visit)
            continue
        due_on = due_on or occurrence(anchor_on, interval, 1)
        if visit < due_on - opening:
            anchor_on, due_on = visit, None
        else:
            due_on = next_occurrence(anchor_on, interval, visit + opening)
    return Beat(due_on or occurrence(anchor_on, interval, 1), anchor_on)
