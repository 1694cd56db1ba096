"""Rounds that were agreed: kept, changed, taken back.

The round of one person on one day is one thing for ever, with a version for every
change, so calendars can follow it. A visit stands in one agreed round at most.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from uuid import UUID

from monitor.clock import new_id
from monitor.domain.places import Site
from monitor.domain.rounds import AgreedRound, AgreedStop
from monitor.domain.supports import Support
from monitor.errors import Conflict, InvalidInput, NotFound
from monitor.schedule.round_task import Person, Pin
from monitor.services.recording.checks import plain
from monitor.services.recording.ledger_values import values_of, values_of_all
from monitor.store import Session, records
from monitor.store.alone import ROUNDS, decide_alone
from monitor.store.ledger import append
from monitor.store.lookup import all_in

DayKey = tuple[str, date]
"""A person, plainly spelt, and a day."""


@dataclass(frozen=True, slots=True)
class Agreed:
    """An agreed round with its stops in order, and their codes."""

    round: AgreedRound
    stops: tuple[AgreedStop, ...]
    codes: tuple[str, ...]

    @property
    def key(self) -> DayKey:
        """Whose and when."""
        return day_key(self.round.person, self.round.planned_on)

    @property
    def person(self) -> Person:
        """Who goes, with skills and hours as they were agreed."""
        one = self.round
        skills = (
            None
            if one.skills is None
            else frozenset(filter(None, one.skills.split(", ")))
        )
        return Person(one.person, skills, one.begins_min, one.ends_min, one.break_min)

    @property
    def pins(self) -> tuple[Pin, ...]:
        """What stays when the day is planned anew."""
        one = self.round
        return tuple(
            Pin(code, one.person, one.planned_on)
            for stop, code in zip(self.stops, self.codes, strict=True)
            if stop.is_pinned
        )


@dataclass(frozen=True, slots=True)
class DayWish:
    """A day to be agreed; only its order, hours and pins count."""

    person: Person
    on: date
    start: str
    leaves_min: int
    back_min: int
    travel_min: int
    stops: tuple["StopWish", ...]


@dataclass(frozen=True, slots=True)
class StopWish:
    """A visit to be agreed."""

    support_id: UUID
    begins_min: int
    ends_min: int
    travel_min: int
    is_pinned: bool


def day_key(person: str, on: date) -> DayKey:
    """Whose day and which, whatever the spelling."""
    return plain(person), on


def standing_rounds(session: Session, from_on: date) -> tuple[Agreed, ...]:
    """Agreed rounds from a day on that were not taken back, by day and person."""
    table = records.AGREED_ROUNDS.table.c
    found = records.AGREED_ROUNDS.current(session, table.planned_on >= from_on)
    return with_stops(session, [one for one in found if not one.withdrawn])


def latest_rounds(session: Session, from_on: date) -> tuple[Agreed, ...]:
    """As `standing_rounds`, with those that were taken back."""
    table = records.AGREED_ROUNDS.table.c
    found = records.AGREED_ROUNDS.current(session, table.planned_on >= from_on)
    return with_stops(session, found)


def agreed_round(session: Session, root_id: UUID) -> Agreed:
    """The newest version of a round, taken back or not.

    Raises
    ------
    NotFound : there is none
    """
    table = records.AGREED_ROUNDS.table.c
    found = records.AGREED_ROUNDS.current(session, table.root_id == root_id)
    if not found:
        raise NotFound("round", str(root_id))
    return with_stops(session, found)[0]


def keep_days(
    session: Session,
    days: Iterable[DayWish],
    freed: Iterable[DayKey],
    *,
    actor: str,
    now: datetime,
) -> tuple[list[AgreedRound], int]:
    """Keep days as agreed rounds; what was written, and how many stood as they are.

    Parameters
    ----------
    freed : days on which nothing is left; their rounds are taken back
    """
    wanted = list(days)
    first = min([day.on for day in wanted] + [on for _, on in freed], default=None)
    if first is None:
        return [], 0
    decide_alone(session, ROUNDS)
    newest = {one.key: one for one in latest_rounds(session, first)}
    made, same = [], 0
    for day in wanted:
        before = newest.get(day_key(day.person.name, day.on))
        if before is not None and not before.round.withdrawn and _is_same(before, day):
            same += 1
            continue
        made.append(_write(session, _next(before, day, actor, now), day.stops))
    for key in freed:
        before = newest.get(key)
        if before is not None and not before.round.withdrawn:
            made.append(_withdraw(session, before, "Nothing is left on that day.",
                                  actor, now))  # fmt: skip
    _require_once(session, first)
    for one in made:
        _log(session, one, actor, now)
    return made, same


def take_back(
    session: Session, root_id: UUID, *, reason: str, actor: str, now: datetime
) -> AgreedRound:
    """Take an agreed round back; its visits can be planned again.

    Raises
    ------
    NotFound : no such round stands
    InvalidInput : no reason is given
    """
    decide_alone(session, ROUNDS)
    before = agreed_round(session, root_id)
    if before.round.withdrawn:
        raise NotFound("agreed round", str(root_id))
    why = " ".join(reason.split())
    if not why:
        raise InvalidInput(
            "Say why the round is taken back.", field="reason", code="rnd-012"
        )
    back = _withdraw(session, before, why, actor, now)
    _log(session, back, actor, now)
    return back


def with_stops(session: Session, rounds: list[AgreedRound]) -> tuple[Agreed, ...]:
    """Rounds with their stops, by day and person."""
    stops: dict[UUID, list[AgreedStop]] = defaultdict(list)
    for stop in all_in(
        session, records.AGREED_STOPS, "round_id", (r.id for r in rounds)
    ):
        stops[stop.round_id].append(stop)
    known = {stop.support_id for some in stops.values() for stop in some}
    codes = {s.id: s.code for s in all_in(session, records.SUPPORTS, "id", known)}
    found = []
    for one in sorted(rounds, key=lambda r: (r.planned_on, plain(r.person))):
        own = tuple(sorted(stops[one.id], key=lambda stop: stop.place))
        found.append(Agreed(one, own, tuple(codes[s.support_id] for s in own)))
    return tuple(found)


def sites_of(session: Session, rounds: Iterable[Agreed]) -> dict[UUID, Site]:
    """The site of every support in these rounds, by the id of the support."""
    ids = {stop.support_id for one in rounds for stop in one.stops}
    supports: list[Support] = all_in(session, records.SUPPORTS, "id", ids)
    trees = all_in(session, records.TREES, "id", {s.tree_id for s in supports})
    sites = {s.id: s for s in all_in(session, records.SITES, "id",
                                     {t.site_id for t in trees})}  # fmt: skip
    by_tree = {tree.id: sites[tree.site_id] for tree in trees}
    return {support.id: by_tree[support.tree_id] for support in supports}


def _is_same(before: Agreed, day: DayWish) -> bool:
    one = before.round
    said = (one.start, one.leaves_min, one.back_min, one.travel_min)
    stops = [
        (s.support_id, s.begins_min, s.ends_min, s.travel_min, s.is_pinned)
        for s in before.stops
    ]
    wanted = [
        (s.support_id, s.begins_min, s.ends_min, s.travel_min, s.is_pinned)
        for s in day.stops
    ]
    return (
        said == (day.start, day.leaves_min, day.back_min, day.travel_min)
        and before.person == day.person
        and stops == wanted
    )


def _next(
    before: Agreed | None, day: DayWish, actor: str, now: datetime
) -> AgreedRound:
    person = day.person
    return AgreedRound(
        id=new_id(),
        root_id=before.round.root_id if before else new_id(),
        version=before.round.version + 1 if before else 1,
        person=person.name,
        skills=None if person.skills is None else ", ".join(sorted(person.skills)),
        begins_min=person.begins,
        ends_min=person.ends,
        break_min=person.break_min,
        planned_on=day.on,
        start=day.start,
        leaves_min=day.leaves_min,
        back_min=day.back_min,
        travel_min=day.travel_min,
        withdrawn=False,
        reason="",
        recorded_by=actor,
        recorded_at=now,
        supersedes_id=before.round.id if before else None,
    )


def _withdraw(
    session: Session, before: Agreed, reason: str, actor: str, now: datetime
) -> AgreedRound:
    was = before.round
    back = replace(
        was,
        id=new_id(),
        version=was.version + 1,
        withdrawn=True,
        reason=reason,
        recorded_by=actor,
        recorded_at=now,
        supersedes_id=was.id,
    )
    stops = (
        StopWish(s.support_id, s.begins_min, s.ends_min, s.travel_min, s.is_pinned)
        for s in before.stops
    )
    return _write(session, back, stops)


def _write(
    session: Session, one: AgreedRound, stops: Iterable[StopWish]
) -> AgreedRound:
    records.AGREED_ROUNDS.add(session, [one])
    records.AGREED_STOPS.add(
        session,
        [
            AgreedStop(
                new_id(), one.id, place, stop.support_id, stop.begins_min,
                stop.ends_min, stop.travel_min, stop.is_pinned,
            )
            for place, stop in enumerate(stops, start=1)
        ],
    )  # fmt: skip
    return one


def _require_once(session: Session, first: date) -> None:
    """Refuse to send two people to one support."""
    seen: dict[str, Agreed] = {}
    for one in standing_rounds(session, first):
        for code in one.codes:
            if code in seen:
                other = seen[code].round
                raise Conflict(
                    f"{code} would be in the rounds of {other.person} on "
                    f"{other.planned_on} and of {one.round.person} on "
                    f"{one.round.planned_on}. Nothing was kept; plan anew.",
                    code="rnd-013",
                )
            seen[code] = one


def _log(session: Session, one: AgreedRound, actor: str, now: datetime) -> None:
    stops = [s for r in with_stops(session, [one]) for s in r.stops]
    action = "round taken back" if one.withdrawn else "round agreed"
    said = {"round": values_of(one), "stops": values_of_all(stops)}
    append(session, [(action, f"round {one.root_id}", said)], actor=actor, now=now)
