"""Events that were entered, whom they called, and who was looked at since."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from uuid import UUID

from monitor.domain.events import Event
from monitor.domain.scheduling import EventCall
from monitor.errors import Conflict, NotFound
from monitor.services.planning.event_candidates import answers_call
from monitor.store import Session, records


def event_named(session: Session, key: str) -> Event:
    """The event with that name, or whose id begins so; withdrawn ones are not found.

    Raises
    ------
    NotFound : there is none
    Conflict : there are several
    """
    plain = " ".join(key.split()).casefold()
    every = [one for one in records.EVENTS.all(session) if not one.withdrawn]
    found = [one for one in every if one.name.casefold() == plain]
    if not found and len(plain) >= 6:
        found = [one for one in every if str(one.id).startswith(plain)]
    if not found:
        raise NotFound("event", key, hint="“underprop event list” names them.")
    if len(found) > 1:
        raise Conflict(
            f"Several events are called “{key}”; name one by its id: "
            f"{', '.join(str(one.id) for one in found)}.",
            code="evt-013",
        )
    return found[0]


def calls_of(session: Session, event: Event) -> tuple[EventCall, ...]:
    """Everyone an event called, in order of risk."""
    column = records.EVENT_CALLS.table.c.event_id
    found = records.EVENT_CALLS.all(session, column == event.id)
    return tuple(sorted(found, key=lambda call: (call.happened_on, call.place)))


def standing_calls(session: Session, event: Event) -> tuple[EventCall, ...]:
    """As `calls_of`, without repeated looks that the end of the event replaced."""
    is_over = event.ended_on is not None
    return tuple(
        call
        for call in calls_of(session, event)
        if not (is_over and call.again_days is not None)
    )


def still_waiting(session: Session, event: Event) -> tuple[EventCall, ...]:
    """Those whom nobody has looked at since, in order of risk."""
    calls = standing_calls(session, event)
    seen = answered_on(session, calls)
    return tuple(call for call in calls if call.id not in seen)


def codes_called(session: Session, calls: Sequence[EventCall]) -> dict[UUID, str]:
    """Codes on the tags of those called, by the id of the support."""
    column = records.SUPPORTS.table.c.id
    keys = [call.support_id for call in calls]
    return {s.id: s.code for s in records.SUPPORTS.all(session, column.in_(keys))}


def answered_on(session: Session, calls: Sequence[EventCall]) -> dict[UUID, date]:
    """Day of the newest look that answers a call, by the id of the call.

    On the day itself only a look after the event is known to be later.
    """
    keys = [call.support_id for call in calls]
    table = records.INSPECTIONS.table.c
    visits = records.INSPECTIONS.current(session, table.support_id.in_(keys))
    by_support = defaultdict(list)
    for visit in visits:
        if not visit.withdrawn:
            by_support[visit.support_id].append(visit)
    answers: dict[UUID, date] = {}
    for call in calls:
        days = [
            visit.inspected_on
            for visit in by_support[call.support_id]
            if answers_call(visit.inspected_on, visit.kind, call.happened_on)
        ]
        if days:
            answers[call.id] = max(days)
    return answers
