"""Whatever goes wrong about days, every visit stays owed or is left with its reason."""

from dataclasses import replace
from datetime import date, timedelta
from threading import Barrier, Thread

import pytest

from monitor.clock import FixedClock
from monitor.errors import InvalidInput, MonitorError
from monitor.jobs.tasks import assess_everything
from monitor.schedule import public_holidays
from monitor.services.assessing.assess import assess_all
from monitor.services.planning.agreeing import agree
from monitor.services.planning.events import EventCommand, enter_event
from monitor.services.planning.plan import plan_all
from monitor.services.planning.round_words import parse_people
from monitor.services.planning.rounds import RoundWish, plan_of
from monitor.services.planning.site_days import (
    ClosureCommand,
    close_site,
    keep_holidays,
)
from monitor.store import records
from tests.build import a_support
from tests.conftest import NOON
from tests.services.test_rounds import a_due

BY = {"actor": "test", "now": NOON}
TODAY = NOON.date()
CODES = {"S-1", "S-2", "S-3"}


@pytest.fixture
def owed(any_store):
    """Three posts that are owed today, each on a site of its own."""
    with any_store.write_session() as session:
        made = [a_support(session, code) for code in sorted(CODES)]
        records.DUES.add(session, [a_due(one.support.id, TODAY) for one in made])
    return any_store


@pytest.fixture
def every_day_a_holiday(monkeypatch):
    def every_day(region, year):
        first = date(year, 1, 1)
        days = (first + timedelta(days=n) for n in range(366))
        return frozenset(on for on in days if on.year == year)

    monkeypatch.setattr(public_holidays, "_days", every_day)


def planned(store, people="Edda, Perran", days=5):
    with store.read_session() as session:
        return plan_of(session, RoundWish(parse_people(people), days), today=TODAY)


def told(made):
    """Codes that are planned, and the reasons of those that are left."""
    return (
        {visit.stop.code for visit in made.rounds.visits},
        {left.stop.code: left.why for left in made.rounds.left},
    )


def dues_of(store):
    with store.read_session() as session:
        return {due.support_id: due for due in records.DUES.all(session)}


def both_at_once(*acts):
    """Run two things from one gate; the refusals."""
    gate, refused = Barrier(len(acts)), []

    def run(act):
        gate.wait(10)
        try:
            act()
        except MonitorError as error:
            refused.append(error)

    threads = [Thread(target=run, args=(act,)) for act in acts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    return refused


def test_a_round_without_a_feasible_day_leaves_each_visit_with_its_reason(owed):
    with owed.write_session() as session:
        for code in CODES:
            days = TODAY, TODAY + timedelta(days=30)
            close_site(session, ClosureCommand(f"V-{code}", *days, "flooded"), **BY)

    made = planned(owed)
    done, left = told(made)

    assert done == set()
    assert left.keys() == CODES
    assert all("flooded" in why for why in left.values())
    with pytest.raises(InvalidInput, match="no visit"), owed.write_session() as session:
        agree(session, made, today=TODAY, **BY)


def test_a_holiday_on_every_day_keeps_every_due_and_says_so(owed, every_day_a_holiday):
    with owed.write_session() as session:
        plan_all(session, now=NOON)
        before = {due.support_id: due.due_on for due in records.DUES.all(session)}
        for code in CODES:
            keep_holidays(session, f"V-{code}", "DE", **BY)
        dues = {due.support_id: due for due in records.DUES.all(session)}

    assert {key: due.due_on for key, due in dues.items()} == before
    assert all("public holiday" in due.sentence for due in dues.values())


def test_rounds_on_nothing_but_holidays_name_each_visit(owed, every_day_a_holiday):
    with owed.write_session() as session:
        for site in records.SITES.all(session):
            records.SITES.change(session, replace(site, holiday_region="DE"))

    done, left = told(planned(owed))

    assert done == set()
    assert left.keys() == CODES
    assert all("holiday" in why for why in left.values())


def test_hours_too_short_for_all_leave_the_rest_by_name(owed):
    made = planned(owed, "Edda (9:00-10:00)", 1)
    done, left = told(made)

    assert done | left.keys() == CODES
    assert not done & left.keys()
    assert all(left.values())


def test_a_clock_that_is_set_back_two_years_loses_no_due_and_comes_back(owed):
    with owed.write_session() as session:
        assess_all(session, now=NOON)
        plan_all(session, now=NOON)
    before = dues_of(owed)

    with owed.write_session() as session:
        plan_all(session, now=NOON - timedelta(days=730))
    back = dues_of(owed)
    with owed.write_session() as session:
        plan_all(session, now=NOON)

    assert back.keys() == before.keys()
    assert all(due.sentence for due in back.values())
    after = dues_of(owed)
    assert {k: (d.due_on, d.sentence) for k, d in after.items()} == {
        k: (d.due_on, d.sentence) for k, d in before.items()
    }


def test_two_schedulers_at_once_write_each_due_once(owed):
    def run():
        assess_everything(owed, FixedClock(NOON))

    assert both_at_once(run, run) == []

    with owed.read_session() as session:
        dues = records.DUES.all(session)
        assert len(dues) == len({due.support_id for due in dues}) == 3


def test_two_who_enter_one_storm_at_once_call_each_support_once(owed):
    storm = EventCommand(
        "storm", TODAY - timedelta(days=1), around="V-S-1", radius="50", size="95 km/h"
    )

    def enter():
        with owed.write_session() as session:
            enter_event(session, storm, **BY)

    both_at_once(enter, enter)

    with owed.read_session() as session:
        calls = records.EVENT_CALLS.all(session)
        assert len(calls) == len({call.support_id for call in calls}) == 3
        assert records.EVENTS.count(session) == 1
