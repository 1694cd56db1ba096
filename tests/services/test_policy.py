"""The policy is data: tried before it is adopted, versioned, and named in the dues."""

import json
from dataclasses import replace

import pytest

from monitor.domain.vocabulary import Consequence, MemberKind, Occupancy
from monitor.errors import Conflict, InvalidInput, NotFound
from monitor.schedule.default_policy import default_policy
from monitor.schedule.policy import Cell
from monitor.services.assessing.assess import assess_all
from monitor.services.planning.adopt_policy import (
    adopt,
    plain_text,
    policy_from_text,
    try_policy,
)
from monitor.services.planning.plan import plan_all
from monitor.services.planning.policy import policy_in_force, version, versions
from monitor.store import ledger, records
from tests.build import a_support, some_readings
from tests.conftest import NOON
from tests.services.test_assess import STILL

WHO = {"actor": "Mira", "now": NOON}
KEY = (MemberKind.POST, Occupancy.FREQUENT, Consequence.SIGNIFICANT)


@pytest.fixture
def built(store):
    with store.write_session() as session:
        one = a_support(session)
        some_readings(session, one, "settlement", STILL)
        assess_all(session, now=NOON)
    return one


def stricter(months=6):
    before = default_policy()
    routine = {**before.routine, KEY: Cell(months, "decision of the office")}
    return replace(before, routine=routine)


def test_the_proposal_is_version_1_until_something_is_adopted(store):
    with store.read_session() as session:
        assert policy_in_force(session) == default_policy()
        assert [one.policy.version for one in versions(session)] == [1]


def test_the_effect_is_shown_before_anything_is_written(store, built):
    with store.read_session() as session:
        effect = try_policy(session, stricter(), now=NOON)

        assert records.POLICIES.count(session) == 0
    # by hand: 12/15 visits a year before (15 months), 12/6 after
    assert effect.visits_before == pytest.approx(0.8)
    assert effect.visits_after == pytest.approx(2.0)
    assert [change.code for change in effect.changes] == ["S-0142"]


def test_an_adopted_policy_moves_the_dues_and_is_named_in_them(store, built):
    with store.write_session() as session:
        adopt(session, stricter(), reason="near miss", **WHO)
        due = records.DUES.find(session, support_id=built.support.id)
        raised = records.DUES.all(session)
        lines = list(ledger.entries(session))

        plan_all(session, now=NOON)

        assert records.DUES.all(session) == raised
    assert "every 6 months" in due.sentence
    assert "policy version 2" in due.sentence
    assert lines[-1].change.action == "policy adopted"


def test_old_versions_stay_readable_with_who_when_and_why(store, built):
    with store.write_session() as session:
        adopt(session, stricter(), reason="near miss", **WHO)
        second = replace(stricter(9), version=2)
        adopt(session, second, reason="staff", **WHO)

        found = versions(session)

    assert [one.policy.version for one in found] == [3, 2, 1]
    assert [(one.adopted_by, one.reason) for one in found[:2]] == [
        ("Mira", "staff"),
        ("Mira", "near miss"),
    ]
    assert found[1].policy.routine[KEY].months == 6
    with store.read_session() as session:
        assert version(session, 2).policy.routine[KEY].months == 6
        with pytest.raises(NotFound, match="The newest is 3"):
            version(session, 7)


def test_nobodys_change_is_lost_when_two_edit_at_once(store, built):
    with store.write_session() as session:
        adopt(session, stricter(), reason="first", **WHO)

        with pytest.raises(Conflict, match="made from version 1"):
            adopt(session, stricter(9), reason="second", **WHO)


def test_a_reason_is_wanted_and_a_change_too(store, built):
    with store.write_session() as session:
        with pytest.raises(InvalidInput, match="Say why"):
            adopt(session, stricter(), reason=" ", **WHO)
        adopt(session, stricter(), reason="near miss", **WHO)
        with pytest.raises(Conflict, match="just this already"):
            adopt(session, policy_in_force(session), reason="again", **WHO)


def test_a_policy_goes_out_as_text_and_comes_back(store):
    assert policy_from_text(plain_text(stricter())) == stricter()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", "not JSON"),
        ("[]", "not a JSON object"),
        ("{}", "is missing"),
    ],
)
def test_what_is_no_policy_is_refused_in_words(text, words):
    with pytest.raises(InvalidInput, match=words):
        policy_from_text(text)


def test_an_interval_that_can_not_work_is_refused_naming_it():
    content = json.loads(plain_text(default_policy()))
    content["routine"][0]["months"] = 0

    with pytest.raises(InvalidInput, match="must be at least 1 day"):
        policy_from_text(json.dumps(content))
