"""Agreeing a plan that somebody has looked at: just what was shown is kept."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from hashlib import sha256

from monitor.domain.rounds import AgreedRound
from monitor.errors import Conflict, InvalidInput
from monitor.schedule.round_timing import DayRound, Visit
from monitor.services.planning.agreed import (
    DayKey,
    DayWish,
    StopWish,
    day_key,
    keep_days,
    standing_rounds,
)
from monitor.services.planning.rounds import RoundPlan
from monitor.store import Session

UNNAMED = "Person "
"""How people are called of whom only the number was given."""


@dataclass(frozen=True, slots=True)
class Agreement:
    """What came of agreeing a plan.

    Attributes
    ----------
    written : rounds that are new, changed or taken back
    same : how many stood already as they are
    """

    written: tuple[AgreedRound, ...]
    same: int


def mark_of(made: RoundPlan) -> str:
    """A short mark of what a plan says; another plan has another mark."""
    told = [
        (day.person.name, day.on, day.leaves, day.back,
         [(v.stop.code, v.begins, v.ends, v.is_pinned) for v in day.visits])
        for day in made.rounds.days
    ]  # fmt: skip
    return sha256(repr(told).encode()).hexdigest()[:16]


def agree(
    session: Session, made: RoundPlan, *, today: date, actor: str, now: datetime
) -> Agreement:
    """Keep every day of a plan; a day of it on which nothing is left is taken back.

    Raises
    ------
    InvalidInput : it names nobody, or plans nothing
    Conflict : rounds were agreed since it was planned
    """
    _check(made)
    standing = {one.round.id for one in standing_rounds(session, today)}
    if standing != {one.round.id for one in made.standing}:
        raise Conflict(
            "Rounds were agreed or taken back since this was planned. Nothing was "
            "kept; look at the plan anew.",
            code="rnd-014",
        )
    days = [_day(made, day) for day in made.rounds.days]
    written, same = keep_days(session, days, _freed(made), actor=actor, now=now)
    return Agreement(tuple(written), same)


def _check(made: RoundPlan) -> None:
    unnamed = [p.name for p in made.wish.people if p.name.startswith(UNNAMED)]
    if unnamed:
        raise InvalidInput(
            "Say by name who goes: a round is agreed with a person.",
            field="people",
            code="rnd-015",
        )
    if not made.rounds.days:
        raise InvalidInput(
            "This plan has no visit, so there is nothing to agree.",
            field="days",
            code="rnd-016",
        )
    over = [day for day in made.rounds.days if day.over_min >= 1]
    if over:
        raise InvalidInput(
            f"The day of {over[0].person.name} on {over[0].on} is "
            f"{over[0].over_min:.0f} min longer than the hours allow; take a visit "
            "off it first.",
            field="order",
            code="rnd-017",
        )


def _freed(made: RoundPlan) -> list[DayKey]:
    """Days of this plan that were agreed and have no visit any more."""
    task = made.rounds.task
    within = {day_key(p.name, on) for p in task.people for on in task.days}
    filled = {day_key(day.person.name, day.on) for day in made.rounds.days}
    standing = {one.key for one in made.standing}
    return sorted((within - filled) & standing)


def _day(made: RoundPlan, day: DayRound) -> DayWish:
    return DayWish(
        person=day.person,
        on=day.on,
        start=made.wish.start,
        leaves_min=round(day.leaves),
        back_min=round(day.back),
        travel_min=round(day.travel_min),
        stops=tuple(_stops(made, day.visits)),
    )


def _stops(made: RoundPlan, visits: Iterable[Visit]) -> Iterable[StopWish]:
    pinned = {pin.code for pin in made.wish.pins}
    was = {
        code
        for one in made.agreed.kept.values()
        for stop, code in zip(one.stops, one.codes, strict=True)
        if stop.is_pinned
    }
    by_hand = {code for day in made.wish.arranged for code in day.codes}
    for visit in visits:
        code = visit.stop.code
        yield StopWish(
            support_id=made.lines[code].support_id,
            begins_min=round(visit.begins),
            ends_min=round(visit.ends),
            travel_min=round(visit.travel_min),
            is_pinned=code in pinned | was | by_hand,
        )
