"""Closed days and wishes for the crown reach the dues."""

from dataclasses import replace
from datetime import date

import pytest

from monitor.errors import Conflict, InvalidInput, NotFound
from monitor.services.assessing.assess import assess_all
from monitor.services.planning.adopt_policy import adopt
from monitor.services.planning.plan import plan_all
from monitor.services.planning.policy import policy_in_force
from monitor.services.planning.site_days import (
    ClosureCommand,
    close_site,
    keep_holidays,
    reopen_site,
    standing_closures,
    wish_crown,
)
from monitor.store import records
from tests.build import a_support, some_readings
from tests.conftest import NOON
from tests.services.test_assess import STILL

WHO = {"actor": "test", "now": NOON}
# a post over frequent use, significant consequence: 15 months after 1 May 2025
DUE = date(2026, 8, 1)


@pytest.fixture
def built(store):
    with store.write_session() as session:
        one = a_support(session)
        some_readings(session, one, "settlement", STILL)
        assess_all(session, now=NOON)
        assert due_on(session, one) == DUE
    return one


def due_on(session, built):
    return records.DUES.find(session, support_id=built.support.id).due_on


def closed(**changes):
    plain = {
        "site": "v-s-0142",
        "first_on": date(2026, 7, 20),
        "last_on": date(2026, 8, 9),
        "reason": "festival",
    }
    return ClosureCommand(**{**plain, **changes})


def test_a_closure_moves_the_due_date_and_says_so(store, built):
    with store.write_session() as session:
        close_site(session, closed(), **WHO)
        raised = records.DUES.all(session)
        plan_all(session, now=NOON)

        assert records.DUES.all(session) == raised
    assert raised[0].due_on == date(2026, 7, 19)
    assert "(festival)" in raised[0].sentence


def test_what_is_no_closure_is_refused(store, built):
    with store.write_session() as session:
        with pytest.raises(NotFound):
            close_site(session, closed(site="nowhere"), **WHO)
        with pytest.raises(InvalidInput, match="ends before it begins"):
            close_site(session, closed(last_on=date(2026, 1, 1)), **WHO)
        with pytest.raises(InvalidInput, match="Say why"):
            close_site(session, closed(reason=" "), **WHO)
        close_site(session, closed(), **WHO)
        with pytest.raises(Conflict, match="already"):
            close_site(session, closed(), **WHO)


def test_a_wish_is_heard_and_can_be_taken_back(store, built):
    with store.write_session() as session:
        wish_crown(session, "S-0142", "leafless", **WHO)
        wished = records.DUES.find(session, support_id=built.support.id)
        wish_crown(session, "S-0142", "", **WHO)
        back = records.DUES.find(session, support_id=built.support.id)

    assert "leaf" in wished.sentence  # no leafless day in the window: dropped, and said
    assert "leaf" not in back.sentence


@pytest.mark.parametrize("state", ["turning", "golden"])
def test_a_wish_that_can_not_be_planned_is_refused(store, built, state):
    with store.write_session() as session, pytest.raises(InvalidInput):
        wish_crown(session, "S-0142", state, **WHO)


def test_the_holidays_of_a_region_move_the_due_date_and_say_whose(store, built):
    # Assumption Day, 15 August, is a holiday in the Saarland and not in Berlin
    # (Feiertagsgesetz of the Saarland, section 2)
    moved = close_site_until(date(2026, 8, 14))
    with store.write_session() as session:
        close_site(session, moved, **WHO)
        before = due_on(session, built)
        kept = keep_holidays(session, "V-S-0142", "de-sl", **WHO)
        plan_all(session, now=NOON)

        due = records.DUES.find(session, support_id=built.support.id)
    assert before == date(2026, 8, 15)
    assert kept.holiday_region == "DE-SL"
    assert due.due_on == date(2026, 8, 16)


def close_site_until(last_on):
    """Closed from today on, so that only a later day is free."""
    return closed(first_on=NOON.date(), last_on=last_on)


def test_a_policy_may_plan_visits_on_holidays(store, built):
    with store.write_session() as session:
        close_site(session, close_site_until(date(2026, 8, 14)), **WHO)
        keep_holidays(session, "V-S-0142", "DE-SL", **WHO)
        works = replace(policy_in_force(session), visits_on_holidays=True)
        adopt(session, works, reason="storms do not wait", **WHO)

        assert due_on(session, built) == date(2026, 8, 15)


@pytest.mark.parametrize(
    ("region", "said"),
    [
        ("Atlantis", "No public holidays are known for “Atlantis”"),
        ("DE-ATL", "DE is known, its part “ATL” is not; known parts are BB, BE"),
    ],
)
def test_an_unknown_country_is_said_in_words(store, built, region, said):
    with store.write_session() as session, pytest.raises(InvalidInput, match=said):
        keep_holidays(session, "V-S-0142", region, **WHO)


def test_a_closure_that_is_taken_back_gives_the_date_back(store, built):
    with store.write_session() as session:
        closure = close_site(session, closed(), **WHO)
        with pytest.raises(InvalidInput, match="Say why"):
            reopen_site(session, closure.id, reason=" ", **WHO)
        reopen_site(session, closure.id, reason="festival called off", **WHO)

        assert due_on(session, built) == DUE
        assert standing_closures(session) == []
        with pytest.raises(NotFound):
            reopen_site(session, closure.id, reason="again", **WHO)
