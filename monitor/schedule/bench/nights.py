"""Thirty years of nights over invented supports: what must hold every night.

Print it: ops/bench nights [--years N --supports N --every N].
"""

import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from random import Random
from uuid import UUID
from zoneinfo import ZoneInfo

import click

from monitor.domain.conclusions import Due
from monitor.domain.vocabulary import (
    Consequence,
    EventKind,
    Grade,
    InspectionKind,
    LeafState,
    MemberKind,
    Occupancy,
    WorkKind,
)
from monitor.errors import InvalidInput
from monitor.schedule.closures import Blackout
from monitor.schedule.default_policy import default_policy
from monitor.schedule.deferral import check_deferral
from monitor.schedule.due import owed, reasons
from monitor.schedule.history import Coat, Deferral, EventLook, History, Look
from monitor.schedule.leaf import LeafWish
from monitor.schedule.public_holidays import PublicHolidays

FIRST = date(1999, 1, 1)
ZONE = ZoneInfo("Europe/Berlin")
POLICY = default_policy()
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Night:
    """What the schedule says of one support in one night.

    Attributes
    ----------
    now : the instant, half past one in UTC; clocks there change at one
    today : the day at the site
    due : None once the support is removed
    changed : whether anything was recorded since the night before
    """

    now: datetime
    today: date
    history: History
    due: Due | None
    changed: bool


def nights(years: int, seed: int, every: int = 1) -> Iterator[Night]:
    """The nights of one support; all is decided by the seed.

    Parameters
    ----------
    every : days from one night to the next
    """
    rng = Random(seed)
    history, known = _new(seed, rng), None
    now = datetime(FIRST.year, FIRST.month, FIRST.day, 1, 30, tzinfo=UTC)
    for _ in range(0, round(365.25 * years), every):
        today = now.astimezone(ZONE).date()
        due = owed(history, POLICY, today, now)
        yield Night(now, today, history, due, known is not history)
        if due is None:
            return
        known, history = history, _lived(history, due, today, rng)
        now += every * _DAY


def broken(night: Night, before: Night | None) -> str:
    """What does not hold in a night; empty if all does."""
    due, history = night.due, night.history
    is_gone = history.removed_on is not None and history.removed_on <= night.today
    if due is None or is_gone:
        return "" if (due is None) == is_gone else "in service and nothing is owed"
    if not due.reasons or not due.sentence.endswith("."):
        return "owed without a reason"
    if not due.opens_on <= due.due_on or due.serious_on <= due.late_on:
        return "a window that is out of order"
    if due.due_on < min(on for _, on, _ in due.reasons) - timedelta(days=370):
        return "moved by more than a year"
    if before is None:
        return ""
    if night.today - before.today != night.now.date() - before.now.date():
        return "a day at the site was left out or counted twice"
    return _jump(night, before, due)


def _jump(night: Night, before: Night, due: Due) -> str:
    """What was owed stays owed while nothing is recorded, however late it is."""
    if night.changed or before.due is None:
        return ""
    governed = {rule: on for rule, on, _ in before.due.reasons}
    for rule, on, _ in due.reasons:
        if rule in governed and on > governed[rule] and rule in _ANCHORED:
            return f"{rule} slipped from {governed[rule]} to {on} by itself"
    return ""


_ANCHORED = frozenset(
    {"duty-interval", "detailed-interval", "client-interval", "baseline", "after-event"}
)


@click.command()
@click.option("--years", default=30)
@click.option("--supports", default=20)
@click.option("--every", default=1, help="Look at each so many nights only.")
def main(years: int, supports: int, every: int) -> None:
    """Live through the nights and say what did not hold."""
    began = time.process_time()
    seen = wrong = moved = 0
    for seed in range(supports):
        before = None
        for night in nights(years, seed, every):
            said = broken(night, before)
            seen += 1
            moved += night.due is not None and "moved from" in night.due.sentence
            if said:
                wrong += 1
                click.echo(f"support {seed}, {night.today}: {said}")
            before = night
    seconds = time.process_time() - began
    click.echo(
        f"{seen} nights of {supports} supports over {years} years: {wrong} broken; "
        f"{moved} with a date moved out of a closed day; {seconds:.1f} s"
    )


def _new(seed: int, rng: Random) -> History:
    """A support with everything that can move a date."""
    kinds = list(MemberKind)
    installed_on = FIRST - timedelta(days=rng.randrange(0, 900))
    month = rng.randrange(3, 6)
    return History(
        support_id=UUID(int=seed),
        code=f"N-{seed:02}",
        kinds=(kinds[seed % len(kinds)], rng.choice(kinds)),
        occupancy=rng.choice(list(Occupancy)),
        consequence=rng.choice(list(Consequence)),
        installed_on=installed_on,
        removed_on=FIRST + timedelta(days=9000) if seed % 7 == 6 else None,
        client_interval_months=rng.choice([None, None, 9]),
        client_interval_reason="insurer",
        inspections=(),
        works=(),
        replace_by=(("sling C1", FIRST + timedelta(days=rng.randrange(1000, 9000))),),
        looks=(),
        quiet_seasons=rng.choice(["", f"{month:02}-01/08-31 nesting",
                                  "12-15/02-28 frozen ground"]),
        worst_finding=None,
        holidays=PublicHolidays("DE-BY") if seed % 2 else None,
        leaf_wish=rng.choice([None, LeafWish(LeafState.LEAFLESS)]),
        coats=(Coat("post P1", installed_on, None, None),),
    )  # fmt: skip


def _lived(history: History, due: Due, today: date, rng: Random) -> History:
    """What happens on a day: a visit more or less in time, sometimes the rest."""
    share = _IN_TIME if today <= due.due_on else _LATE
    if today >= due.opens_on and rng.random() < share:
        return _visited(history, due.kind, today, rng)
    roll = rng.random()
    for share, act in _HAPPENS:
        if roll < share:
            return act(history, today, rng)
        roll -= share
    return history


def _visited(
    history: History, kind: InspectionKind, today: date, rng: Random
) -> History:
    """A visit: readings ask for the next look, a finding is seen or closed."""
    act_on = today + timedelta(days=rng.randrange(200, 4000))
    look = Look("settlement", today + (act_on - today) / 2, "half of the time left",
                act_on, rng.random() < 0.1)  # fmt: skip
    grade = rng.choice([Grade.ACT, Grade.MAKE_SAFE])
    found = ("cracked weld", grade, today) if rng.random() < 0.08 else None
    return replace(
        history,
        inspections=(*history.inspections, (today, kind)),
        looks=(look,) if rng.random() < 0.5 else (),
        worst_finding=found,
    )


def _worked(history: History, today: date, rng: Random) -> History:
    kind = rng.choice([k for k in WorkKind if k is not WorkKind.REMOVAL])
    return replace(history, works=(*history.works, (today, kind)))


def _stormed(history: History, today: date, rng: Random) -> History:
    again = rng.choice([None, None, 7])
    kind = EventKind.STORM if again is None else EventKind.EXCAVATION
    look = EventLook(kind, f"{kind}", today, today + timedelta(days=3), again)
    kept = [one for one in history.events if one.again_days is None]
    return replace(history, events=(*kept, look))


def _deferred(history: History, today: date, rng: Random) -> History:
    governs = reasons(history, POLICY, today)[0]
    until = governs.due_on + timedelta(days=rng.randrange(1, 90))
    said = Deferral(governs.due_on, until, "bridge closed", "Maren", today)
    try:
        check_deferral(said, governs)
    except InvalidInput:
        return history
    return replace(history, deferrals=(*history.deferrals, said))


def _closed(history: History, today: date, rng: Random) -> History:
    first = today + timedelta(days=rng.randrange(0, 200))
    last = first + timedelta(days=rng.randrange(0, 40))
    return replace(history, blackouts=(*history.blackouts, Blackout(first, last, "")))


_IN_TIME, _LATE = 0.02, 0.004
"""Chance of a visit on a day of an open window, and on one when it is overdue."""
_HAPPENS = (
    (0.001, _worked),
    (0.002, _stormed),
    (0.004, _deferred),
    (0.001, _closed),
)
"""Share of the days on which it happens; own choice, busier than any real life."""

if __name__ == "__main__":
    main()
