"""What a new policy would change, before it is adopted."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from uuid import UUID

from monitor.schedule.due import History, owed
from monitor.schedule.policy import Policy, governing


@dataclass(frozen=True, slots=True)
class Change:
    """A support whose interval or next due date is not the same.

    Attributes
    ----------
    months_before, months_after : shortest standing interval [month]
    due_before, due_after : next due date
    """

    support_id: UUID
    code: str
    months_before: float
    months_after: float
    due_before: date
    due_after: date


@dataclass(frozen=True, slots=True)
class Effect:
    """Two policies beside each other.

    Visits a year are the standing ones, by the interval that governs. Follow-ups, looks
    that readings ask for and looks after events come on top under either policy.

    Attributes
    ----------
    supports : in service
    visits_before, visits_after : standing visits a year [1/yr]
    changes : what changes, largest gain in visits first
    """

    supports: int
    visits_before: float
    visits_after: float
    changes: tuple[Change, ...]

    @property
    def more_visits(self) -> float:
        """How many more visits a year; fewer is below zero. [1/yr]"""
        return self.visits_after - self.visits_before

    def in_words(self) -> str:
        """The effect in one sentence."""
        direction = "more" if self.more_visits >= 0 else "fewer"
        return (
            f"{abs(self.more_visits):.1f} {direction} visits a year "
            f"({self.visits_before:.1f} before, {self.visits_after:.1f} after); the "
            f"interval or next date changes for {len(self.changes)} of "
            f"{self.supports} supports."
        )


def effect(
    before: Policy, after: Policy, histories: Iterable[History], today: date
) -> Effect:
    """Compare two policies over a fleet."""
    compared = [_compared(before, after, history, today) for history in histories]
    standing = [change for change in compared if change is not None]
    changes = [change for change in standing if _differs(change)]
    changes.sort(key=lambda change: (_gain(change), change.code))
    return Effect(
        len(standing),
        sum(12 / change.months_before for change in standing),
        sum(12 / change.months_after for change in standing),
        tuple(changes),
    )


def standing_months(history: History, policy: Policy) -> float:
    """Shortest interval that stands whatever the readings say. [month]

    A detailed inspection answers a routine one, so the shortest counts all visits.
    """
    who = (history.kinds, history.occupancy, history.consequence)
    found = (governing(table, *who) for table in (policy.routine, policy.detailed))
    months = [cell.interval.length_months for _, cell in filter(None, found)]
    if history.client_interval_months is not None:
        months.append(history.client_interval_months)
    return min(months)


def _compared(
    before: Policy, after: Policy, history: History, today: date
) -> Change | None:
    now = datetime.combine(today, time(), UTC)
    due_before = owed(history, before, today, now)
    due_after = owed(history, after, today, now)
    if due_before is None or due_after is None:
        return None
    return Change(
        history.support_id,
        history.code,
        standing_months(history, before),
        standing_months(history, after),
        due_before.due_on,
        due_after.due_on,
    )


def _differs(change: Change) -> bool:
    return (change.months_before, change.due_before) != (
        change.months_after,
        change.due_after,
    )


def _gain(change: Change) -> float:
    return 12 / change.months_before - 12 / change.months_after
