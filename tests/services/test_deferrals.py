"""Putting an inspection off needs a reason and a name, has a limit, stays in sight."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from monitor.domain.vocabulary import InspectionKind
from monitor.errors import Conflict, InvalidInput, NotFound
from monitor.services.assessing.assess import assess_all
from monitor.services.planning.deferrals import (
    DeferralCommand,
    defer,
    in_words,
    standing_deferrals,
    withdraw_deferral,
)
from monitor.services.planning.plan import plan_all
from monitor.services.recording.commands import InspectionCommand
from monitor.services.recording.record import record_inspection
from monitor.store import records
from tests.build import a_support, an_inspection
from tests.conftest import NOON

WHO = {"actor": "test", "now": NOON}
LAST = date(2025, 6, 20)
DUE = date(2026, 6, 20)  # 12 months, the third gap after a baseline is at most a year


@pytest.fixture
def built(store):
    with store.write_session() as session:
        one = a_support(session, installed_on=date(2024, 6, 20))
        visits = [
            an_inspection(
                one.support.id, date(2024, 6, 20), kind=InspectionKind.BASELINE
            ),
            an_inspection(one.support.id, LAST),
        ]
        records.INSPECTIONS.add(session, visits)
        assess_all(session, now=NOON)
    return one


def decided(**changes):
    plain = DeferralCommand(
        "S-0142", DUE + timedelta(days=40), "bridge closed", "Maren"
    )
    return replace(plain, **changes)


def test_it_moves_the_due_date_and_says_who_and_why(store, built):
    with store.write_session() as session:
        before = records.DUES.find(session, support_id=built.support.id)
        put_off = defer(session, decided(), **WHO)

    assert before.due_on == DUE
    assert put_off.due.due_on == DUE + timedelta(days=40)
    assert "deferred from 20 June 2026 by Maren: bridge closed" in put_off.due.sentence
    assert in_words(put_off.entry) == (
        "Put off from 20 June 2026 to 30 July 2026 by Maren on 1 June 2026: bridge "
        "closed."
    )


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"reason": "  "}, "needs a reason"),
        ({"name": ""}, "needs a name"),
        ({"until_on": date(2026, 6, 20)}, "puts nothing off"),
        ({"until_on": date(2028, 1, 1)}, "too late: this can be put off until"),
    ],
)
def test_what_can_not_stand_is_refused(store, built, changes, words):
    with store.write_session() as session, pytest.raises(InvalidInput, match=words):
        defer(session, decided(**changes), **WHO)

    with store.read_session() as session:
        assert records.DEFERRALS.count(session) == 0


def test_an_inspection_ends_it(store, built):
    with store.write_session() as session:
        defer(session, decided(), **WHO)
        assert standing_deferrals(session, built.support)

        command = InspectionCommand("S-0142", NOON.date(), "Ines", note="seen")
        record_inspection(session, command, **WHO)
        assess_all(session, now=NOON)

        due = records.DUES.find(session, support_id=built.support.id)
        assert not standing_deferrals(session, built.support)
        assert "deferred" not in due.sentence


def test_it_can_be_taken_back_and_both_stay_readable(store, built):
    with store.write_session() as session:
        defer(session, decided(), **WHO)
        back = withdraw_deferral(session, "S-0142", reason="bridge open", **WHO)

        assert back.due.due_on == DUE
        assert records.DEFERRALS.count(session) == 2
        with pytest.raises(NotFound):
            withdraw_deferral(session, "S-0142", reason="again", **WHO)


def test_rebuilding_gives_the_same_due(store, built):
    with store.write_session() as session:
        defer(session, decided(), **WHO)
        raised = records.DUES.all(session)

        plan_all(session, now=NOON)

        assert records.DUES.all(session) == raised


def test_a_removed_support_owes_nothing_that_could_be_put_off(store, built):
    with store.write_session() as session:
        gone = replace(built.support, removed_on=date(2026, 1, 1))
        records.SUPPORTS.change(session, gone)

        with pytest.raises(Conflict, match="removed"):
            defer(session, decided(), **WHO)
