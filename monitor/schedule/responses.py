"""Which supports an event calls to, in order of risk, and by when."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from monitor.domain.events import Event
from monitor.domain.vocabulary import Consequence, EventKind, Occupancy, Standing
from monitor.errors import InvalidInput
from monitor.schedule.area import Area, parse_area
from monitor.schedule.event_rules import EVENT_RULES, EventRule, Trigger
from monitor.schedule.gusts import gust_in_words
from monitor.schedule.history import EventLook

_PEOPLE = frozenset({Occupancy.CONSTANT, Occupancy.FREQUENT})


@dataclass(frozen=True, slots=True)
class Candidate:
    """A support that may have to be looked at after an event.

    Attributes
    ----------
    position : longitude and latitude [deg], None if unknown
    margin : strength left over what is asked of it, 1 = just enough, None if unknown
    evidence : largest e-value of movement among its series, None if there are none
    """

    support_id: UUID
    code: str
    position: tuple[float, float] | None
    standing: Standing
    margin: float | None
    occupancy: Occupancy
    consequence: Consequence
    evidence: float | None


@dataclass(frozen=True, slots=True)
class Called:
    """A support that is called to a look, and the look."""

    candidate: Candidate
    look: EventLook


@dataclass(frozen=True, slots=True)
class Response:
    """What an event calls for.

    Attributes
    ----------
    called : in order of risk, gravest first
    unplaced : supports without a position, for a person to decide on
    remark : why nobody is called, empty if somebody is
    """

    called: tuple[Called, ...]
    unplaced: tuple[Candidate, ...]
    remark: str


def respond(
    event: Event,
    candidates: Iterable[Candidate],
    rules: Mapping[EventKind, EventRule] = EVENT_RULES,
) -> Response:
    """Say who is looked at after the event, by when, in order of risk.

    Raises
    ------
    InvalidInput
        if the event has neither an area nor a support, or the area is none
    """
    rule = rules[event.kind]
    trigger = rule.trigger(event.magnitude)
    if trigger is None:
        return Response((), (), _too_weak(event, rule))
    inside, unplaced = _inside(event, candidates)
    called = []
    for candidate in sorted(inside, key=order_of_risk):
        days = _days(trigger, candidate)
        if days is not None:
            called.append(Called(candidate, _look(event, rule, days)))
    remark = "" if called else "No support in the area is called for by this event."
    return Response(tuple(called), tuple(sorted(unplaced, key=order_of_risk)), remark)


def order_of_risk(candidate: Candidate) -> tuple[float, float, int, int, float, str]:
    """Sort key: standing, margin, target, evidence of movement; unknown is worst."""
    evidence = float("inf") if candidate.evidence is None else candidate.evidence
    return (
        -candidate.standing.rank,
        float("-inf") if candidate.margin is None else candidate.margin,
        list(Occupancy).index(candidate.occupancy),
        list(Consequence).index(candidate.consequence),
        -evidence,
        candidate.code,
    )


def may_be_same(one: Event, other: Event) -> bool:
    """Whether two entries may tell of the same event: worth asking who enters it.

    Even if both are kept, a support is asked once: see the rule "after-event".
    """
    return (
        one.kind is other.kind
        and one.happened_on == other.happened_on
        and one.support_id == other.support_id
    )


def still_open(
    called: Iterable[Called], seen_on: Mapping[UUID, date]
) -> tuple[Called, ...]:
    """The looks nobody has made yet, in the order given.

    Parameters
    ----------
    seen_on : newest inspection after the event, by support
    """
    return tuple(
        one
        for one in called
        if seen_on.get(one.candidate.support_id, date.min) < one.look.happened_on
    )


def _inside(
    event: Event, candidates: Iterable[Candidate]
) -> tuple[list[Candidate], list[Candidate]]:
    if event.support_id is not None:
        only = event.support_id
        return [one for one in candidates if one.support_id == only], []
    if not event.area:
        raise InvalidInput(
            f"“{event.name}” says neither where it was nor which support it struck; "
            "draw an area or choose a support.",
            field="area",
            code="sch-024",
        )
    return _split(parse_area(event.area), candidates)


def _split(
    area: Area, candidates: Iterable[Candidate]
) -> tuple[list[Candidate], list[Candidate]]:
    inside, unplaced = [], []
    for candidate in candidates:
        if candidate.position is None:
            unplaced.append(candidate)
        elif area.holds(candidate.position):
            inside.append(candidate)
    return inside, unplaced


def _days(trigger: Trigger, candidate: Candidate) -> int | None:
    """The shortest time that any of its groups is given."""
    is_doubtful = candidate.standing is not Standing.HOLDING
    is_over_people = candidate.occupancy in _PEOPLE
    groups = [trigger.other_days]
    if is_doubtful:
        groups.append(trigger.doubtful_days)
    if is_over_people:
        groups.append(trigger.people_days)
    return min((days for days in groups if days is not None), default=None)


def _look(event: Event, rule: EventRule, days: int) -> EventLook:
    """The look; where it is repeated while the event lasts, the last is at its end."""
    label, since = _label(event, rule), event.happened_on
    again_days = rule.again_days
    if again_days is not None and event.ended_on is not None:
        label, since, again_days = f"end of the {label}", event.ended_on, None
    return EventLook(event.kind, label, since, since + timedelta(days=days), again_days)


def _label(event: Event, rule: EventRule) -> str:
    if event.magnitude is None or not rule.size:
        return str(event.kind)
    if event.kind is EventKind.STORM:
        return f"{event.kind} with gusts of {gust_in_words(event.magnitude)}"
    return f"{event.kind}, {rule.size} {event.magnitude:g} {rule.unit}"


def _too_weak(event: Event, rule: EventRule) -> str:
    least = rule.triggers[0].at_least
    if event.kind is EventKind.STORM:
        needed = f"a gust of {gust_in_words(least)}"
    else:
        needed = f"{rule.size} of {least:g} {rule.unit}"
    return f"Nobody is called: “{event.name}” stays below {needed}."
