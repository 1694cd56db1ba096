"""Entering a storm or a blow: who is called to a look, in order of risk, by when."""

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from uuid import UUID

from monitor.clock import new_id
from monitor.domain.events import Event
from monitor.domain.scheduling import EventCall
from monitor.domain.vocabulary import EventKind
from monitor.errors import Conflict, InvalidInput
from monitor.schedule.area import parse_area
from monitor.schedule.circle import circle
from monitor.schedule.responses import Called, Response, may_be_same, respond
from monitor.services.planning.event_calls import (
    calls_of,
    event_named,
    standing_calls,
    still_waiting,
)
from monitor.services.planning.event_candidates import (
    candidates_for,
    ordered_candidates,
    position_of,
)
from monitor.services.planning.event_size import size_in_words, size_of
from monitor.services.planning.plan import plan
from monitor.services.recording.checks import one_of, spoken, word
from monitor.services.recording.ledger_values import values_of
from monitor.services.showing.support import find_support
from monitor.store import Session, records
from monitor.store.alone import EVENTS, decide_alone
from monitor.store.ledger import append


@dataclass(frozen=True, slots=True)
class EventCommand:
    """What happened, as typed; an empty text means that nothing was said.

    Attributes
    ----------
    area : GeoJSON polygon
    around, radius : code of a site or support, and kilometres about it
    support : code, for what met one support only
    size : with its unit, such as "95 km/h" or "12 mm"
    """

    kind: str
    happened_on: date
    name: str = ""
    area: str = ""
    around: str = ""
    radius: str = ""
    support: str = ""
    size: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Draft:
    """An event that could be entered, and whom it would call.

    Attributes
    ----------
    known : the same event as it stands in the record already, None if it is new
    like : events of the same kind and day, which may be the same
    new : called by this one, and not yet, or not as soon, by those
    seen : how many were looked at since it happened, and are not called
    """

    event: Event
    response: Response
    known: Event | None
    like: tuple[Event, ...]
    new: tuple[Called, ...]
    seen: int


@dataclass(frozen=True, slots=True)
class Ended:
    """An event that was closed, and whom it still waits for."""

    event: Event
    still_open: tuple[EventCall, ...]


def draft_event(session: Session, command: EventCommand, *, now: datetime) -> Draft:
    """Whom an event would call; nothing is written.

    Raises
    ------
    InvalidInput, NotFound : naming what is wrong or missing
    """
    event = _event(session, command, now)
    others = [one for one in records.EVENTS.all(session) if not one.withdrawn]
    like = tuple(one for one in others if may_be_same(one, event))
    known = next((one for one in like if _says_the_same(one, event)), None)
    every = candidates_for(session, event)
    response = respond(event, ordered_candidates(session, event, every.waiting, now))
    earlier = _earliest_calls(session, like)
    new = tuple(
        call
        for call in response.called
        if call.look.done_by_on < earlier.get(call.candidate.support_id, date.max)
    )
    return Draft(event, response, known, like, () if known else new, every.seen)


def enter_event(
    session: Session, command: EventCommand, *, actor: str, now: datetime
) -> Draft:
    """Enter an event and raise the looks it calls for; known ones are not raised twice.

    Raises
    ------
    InvalidInput, NotFound : naming what is wrong or missing; nothing is written
    """
    decide_alone(session, EVENTS)
    draft = draft_event(session, command, now=now)
    if draft.known is not None:
        return draft
    records.EVENTS.add(session, [draft.event])
    calls = _calls(draft.event, draft.new, now)
    records.EVENT_CALLS.add(session, calls)
    _log(session, ("event entered", draft.event), calls, actor=actor, now=now)
    _plan(session, calls, now)
    return draft


def end_event(
    session: Session, key: str, *, ended_on: date, actor: str, now: datetime
) -> Ended:
    """Say that an event is over; what nobody has looked at stays owed.

    Where looks were repeated while it lasted, one last look is raised.

    Raises
    ------
    NotFound, InvalidInput, Conflict : no such event, no such day, ended before
    """
    event = event_named(session, key)
    if event.ended_on is not None:
        raise Conflict(
            f"“{event.name}” ended on {spoken(event.ended_on)} already.", code="evt-010"
        )
    if not event.happened_on <= ended_on <= now.date() + timedelta(days=1):
        raise InvalidInput(
            f"“{event.name}” began on {spoken(event.happened_on)}; it can end from "
            "that day until today.",
            field="ended_on",
            code="evt-011",
        )
    over = replace(event, ended_on=ended_on)
    records.EVENTS.change(session, over)
    before = calls_of(session, event)
    last = _last_looks(session, over, before, now)
    records.EVENT_CALLS.add(session, last)
    _log(session, ("event ended", over), last, actor=actor, now=now)
    _plan(session, (*before, *last), now)
    return Ended(over, still_waiting(session, over))


def withdraw_event(
    session: Session, key: str, *, reason: str, actor: str, now: datetime
) -> Event:
    """Say that an event was entered in error; its looks are owed no more.

    Raises
    ------
    NotFound, InvalidInput : no such event, no reason
    """
    event = event_named(session, key)
    if not reason.strip():
        raise InvalidInput(
            "Say why the event is withdrawn.", field="reason", code="evt-012"
        )
    gone = replace(event, withdrawn=True)
    records.EVENTS.change(session, gone)
    change = ("event withdrawn", _subject(gone), {"reason": reason.strip()})
    append(session, [change], actor=actor, now=now)
    _plan(session, calls_of(session, gone), now)
    return gone


def _event(session: Session, command: EventCommand, now: datetime) -> Event:
    kind = word(EventKind, command.kind)
    if kind is None:
        raise InvalidInput(
            f"Found “{command.kind}”, expected {one_of(EventKind)}.",
            field="kind",
            code="evt-005",
        )
    if command.happened_on > now.date() + timedelta(days=1):
        raise InvalidInput(
            f"{spoken(command.happened_on)} has not come yet; enter what happened.",
            field="happened_on",
            code="evt-006",
        )
    size = size_of(kind, command.size)
    area, support_id = _where(session, command)
    said = size_in_words(kind, size)
    name = f"{kind.capitalize()} of {spoken(command.happened_on)}"
    return Event(
        id=new_id(),
        kind=kind,
        name=" ".join(command.name.split()) or name,
        happened_on=command.happened_on,
        area=area,
        support_id=support_id,
        magnitude=size,
        ended_on=None,
        note=command.note.strip() or said,
        recorded_at=now,
    )


def _where(session: Session, command: EventCommand) -> tuple[str, UUID | None]:
    """One way of saying where, and only one."""
    said = [way for way in (command.area, command.around, command.support) if way]
    if len(said) != 1:
        raise InvalidInput(
            "Say where it was in one way: an area, a circle about a site, or the one "
            "support it struck.",
            field="area",
            code="evt-007",
        )
    if command.support:
        return "", find_support(session, command.support).id
    if command.around:
        centre = position_of(session, command.around)
        return circle(centre, _radius_km(command.radius)), None
    return _polygon(command.area), None


def _polygon(text: str) -> str:
    """The bare polygon of a GeoJSON text, checked."""
    parse_area(text)
    data = json.loads(text)
    shape = data["geometry"] if data["type"] == "Feature" else data
    kept = {"type": "Polygon", "coordinates": shape["coordinates"]}
    return json.dumps(kept, separators=(",", ":"))


def _radius_km(text: str) -> float:
    plain = text.strip().casefold().removesuffix("km").strip().replace(",", ".")
    try:
        return float(plain)
    except ValueError:
        raise InvalidInput(
            f"Found “{text}”, expected a radius in kilometres, such as 3 or 2.5 km.",
            field="radius",
            code="evt-008",
        ) from None


def _says_the_same(one: Event, other: Event) -> bool:
    return (one.area, one.magnitude) == (other.area, other.magnitude)


def _earliest_calls(session: Session, events: Sequence[Event]) -> dict[UUID, date]:
    earliest: dict[UUID, date] = {}
    for event in events:
        for call in standing_calls(session, event):
            known = earliest.get(call.support_id, date.max)
            earliest[call.support_id] = min(known, call.done_by_on)
    return earliest


def _calls(event: Event, called: Sequence[Called], now: datetime) -> list[EventCall]:
    return [
        EventCall(
            id=new_id(),
            event_id=event.id,
            support_id=one.candidate.support_id,
            place=place,
            label=one.look.label,
            happened_on=one.look.happened_on,
            done_by_on=one.look.done_by_on,
            again_days=one.look.again_days,
            standing=one.candidate.standing,
            recorded_at=now,
        )
        for place, one in enumerate(called, start=1)
    ]


def _last_looks(
    session: Session, over: Event, before: Sequence[EventCall], now: datetime
) -> list[EventCall]:
    repeated = {call.support_id for call in before if call.again_days is not None}
    if not repeated:
        return []
    found = ordered_candidates(session, over, sorted(repeated), now)
    return _calls(over, respond(over, found).called, now)


def _log(
    session: Session,
    what: tuple[str, Event],
    calls: Sequence[EventCall],
    *,
    actor: str,
    now: datetime,
) -> None:
    """One line for the event, and one for every support it calls."""
    action, event = what
    ids = [call.support_id for call in calls]
    codes = {
        one.id: one.code
        for one in records.SUPPORTS.all(session, records.SUPPORTS.table.c.id.in_(ids))
    }
    lines: list[tuple[str, str, object]] = [(action, _subject(event), values_of(event))]
    lines += [
        ("called to a look", f"support {codes[call.support_id]}", values_of(call))
        for call in calls
    ]
    append(session, lines, actor=actor, now=now)


def _subject(event: Event) -> str:
    return f"event {event.id}"


def _plan(session: Session, calls: Sequence[EventCall], now: datetime) -> None:
    """Raise, or take back, the inspections of the supports that are called."""
    keys = sorted({call.support_id for call in calls})
    if keys:
        plan(session, keys, now=now)
