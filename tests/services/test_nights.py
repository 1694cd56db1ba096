"""Thirty years in the record: what is kept up step by step is what a rebuild gives.

A night in each second month, and those on which clocks change, over three supports that
are visited, worked on, put off, closed and stormed on.
"""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from random import Random

from monitor.domain.vocabulary import InspectionKind, WorkKind
from monitor.errors import Conflict, InvalidInput
from monitor.schedule.circle import circle
from monitor.services.planning.deferrals import DeferralCommand, defer
from monitor.services.planning.events import EventCommand, enter_event
from monitor.services.planning.plan import plan, plan_all
from monitor.services.planning.site_days import (
    ClosureCommand,
    close_site,
    keep_holidays,
)
from monitor.store import records
from monitor.store.conclusions import delete_dues
from tests.build import a_support, an_inspection
from tests.services.test_assess import a_work

FIRST = date(1996, 1, 1)
STORM = EventCommand("storm", FIRST, area=circle((-20.0, 47.5), 2.0), size="95 km/h")
CLOCKS = {3: 31, 10: 31}
"""They change on the last Sunday of March and of October."""


def the_nights():
    on = FIRST
    while on < date(2026, 1, 1):
        last = CLOCKS.get(on.month)
        sunday = date(on.year, on.month, last) if last else None
        if sunday:
            sunday -= timedelta(days=(sunday.weekday() + 1) % 7)
        if (on.day == 1 and on.month % 2) or on == sunday:
            yield datetime(on.year, on.month, on.day, 1, 30, tzinfo=UTC)
        on += timedelta(days=1)


def happen(session, built, now, rng):
    """What may happen on a day; whatever it is plans for itself, or is planned here."""
    one, today = rng.choice(built), now.date()
    due = records.DUES.find(session, support_id=one.support.id)
    who = {"actor": "test", "now": now}
    match rng.randrange(12):
        case 0 | 1 | 2 if due is not None and today >= due.opens_on:
            look = an_inspection(one.support.id, today, kind=due.kind)
            records.INSPECTIONS.add(session, [look])
            plan(session, [one.support.id], now=now, margins={})
        case 3:
            work = a_work(one.support.id, today, kind=WorkKind.REPAIR)
            records.WORKS.add(session, [work])
            plan(session, [one.support.id], now=now, margins={})
        case 4:
            enter_event(session, replace(STORM, happened_on=today), **who)
        case 5 if due is not None:
            until = due.due_on + timedelta(days=rng.randrange(1, 60))
            try:
                said = DeferralCommand(one.support.code, until, "bridge", "Maren")
                defer(session, said, **who)
            except (InvalidInput, Conflict):
                pass
        case 6 if rng.random() < 0.3:
            shut = ClosureCommand(one.site.code, today, today + timedelta(days=9), "x")
            close_site(session, shut, **who)


def test_step_by_step_and_anew_are_the_same_every_night_and_nothing_is_lost(store):
    rng = Random(8)
    with store.write_session() as session:
        built = []
        for n in (1, 2, 3):
            one = a_support(session, f"S-{n}", installed_on=FIRST)
            zoned = replace(one.site, timezone="Europe/Berlin")
            records.SITES.change(session, zoned)
            look = an_inspection(one.support.id, FIRST, kind=InspectionKind.BASELINE)
            records.INSPECTIONS.add(session, [look])
            built.append(one)
        first = datetime(1996, 1, 1, 12, tzinfo=UTC)
        keep_holidays(session, "V-S-1", "DE-BY", actor="test", now=first)
        plan_all(session, now=first)

    count = 0
    for now in the_nights():
        with store.write_session() as session:
            happen(session, built, now, rng)
            plan(session, None, now=now, margins={})  # the job of the night
            kept = records.DUES.all(session)
            delete_dues(session, [due.support_id for due in kept])
            plan(session, None, now=now, margins={})
            anew = records.DUES.all(session)
        assert [undated(due) for due in kept] == [undated(due) for due in anew]
        assert {due.support_id for due in kept} == {one.support.id for one in built}
        assert all(due.reasons and due.sentence for due in kept)
        count += 1

    assert count == 30 * 8  # by hand: six nights and two Sundays a year
    with store.read_session() as session:
        assert records.EVENTS.count(session) > 5
        assert records.DEFERRALS.count(session) > 0
        assert records.INSPECTIONS.count(session) > 20


def undated(due):
    return replace(due, computed_at=datetime(2000, 1, 1, tzinfo=UTC))
