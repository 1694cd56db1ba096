"""An event told again day by day: whom it called, and who had been looked at by then.

Readings of a weather station are not kept in the record, so hours can not be told.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from monitor.clock import local_date
from monitor.domain.events import Event
from monitor.domain.scheduling import EventCall
from monitor.services.planning.event_calls import standing_calls
from monitor.services.planning.event_candidates import answers_call
from monitor.services.planning.event_size import size_in_words
from monitor.store import Session, records

LONGEST_DAYS = 120


@dataclass(frozen=True, slots=True)
class Replay:
    """One event and the looks after it.

    Attributes
    ----------
    size : in words, empty if not known
    called : first day on which each support was looked at, None if nobody was there
    due : day by which each look was asked
    days : how many days there are to tell
    """

    event: Event
    size: str
    called: dict[UUID, date | None]
    due: dict[UUID, date]
    days: int

    def on(self, day: int) -> date:
        """The civil date so many days after the event."""
        return self.event.happened_on + timedelta(days=day)

    def seen_by(self, day: int) -> frozenset[UUID]:
        """Supports that had been looked at by the end of that day."""
        on = self.on(day)
        return frozenset(
            key for key, seen in self.called.items() if seen is not None and seen <= on
        )


def event_choices(session: Session) -> tuple[tuple[str, str], ...]:
    """Id and name of every event that called somebody, newest first."""
    found = [one for one in records.EVENTS.all(session) if not one.withdrawn]
    found.sort(key=lambda one: (one.happened_on, one.recorded_at), reverse=True)
    return tuple((str(one.id), one.name) for one in found)


def replay_of(session: Session, key: str, now: datetime) -> Replay | None:
    """The event with that id told by days; None if there is none."""
    event = next((e for e in records.EVENTS.all(session) if str(e.id) == key), None)
    if event is None or event.withdrawn:
        return None
    calls = standing_calls(session, event)
    seen = _first_looks(session, calls)
    called: dict[UUID, date | None] = {}
    due: dict[UUID, date] = {}
    for call in calls:
        called[call.support_id] = seen.get(call.support_id)
        due[call.support_id] = call.done_by_on
    days = _days(event, called, due, local_date(now, "UTC"))
    return Replay(event, size_in_words(event.kind, event.magnitude), called, due, days)


def _first_looks(session: Session, calls: Sequence[EventCall]) -> dict[UUID, date]:
    """The first day after the event on which each support was looked at."""
    happened = {call.support_id: call.happened_on for call in calls}
    table = records.INSPECTIONS.table.c
    visits = records.INSPECTIONS.current(
        session,
        table.support_id.in_(list(happened)),
        table.inspected_on >= min(happened.values(), default=date.max),
    )
    first: dict[UUID, date] = {}
    for visit in visits:
        key, on = visit.support_id, visit.inspected_on
        if not visit.withdrawn and answers_call(on, visit.kind, happened[key]):
            first[key] = min(on, first.get(key, on))
    return first


def _days(
    event: Event,
    called: dict[UUID, date | None],
    due: dict[UUID, date],
    today: date,
) -> int:
    """Up to the last look and the last day asked for, but not beyond today."""
    ends = [*(on for on in called.values() if on is not None), *due.values()]
    last = min(max(ends, default=event.happened_on), today)
    return max(0, min(LONGEST_DAYS, (last - event.happened_on).days))
