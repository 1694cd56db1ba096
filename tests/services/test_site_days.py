"""Closed days and wishes for the crown reach the dues."""

from datetime import date

import pytest

from monitor.errors import Conflict, InvalidInput, NotFound
from monitor.services.assessing.assess import assess_all
from monitor.services.planning.plan import plan_all
from monitor.services.planning.site_days import ClosureCommand, close_site, wish_crown
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
