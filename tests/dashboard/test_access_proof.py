"""Saying once more that it is you, before what can do lasting harm."""

from datetime import timedelta
from uuid import uuid4

import pyotp
import pytest

from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.services.entry import second
from monitor.store import records
from monitor.store.ledger import entries
from tests.conftest import NOON
from tests.dashboard.conftest import NAME, OWN, PASSWORD, signed_in_client
from tests.dashboard.pressing import UPDATE
from tests.quick_hash import quicken


@pytest.fixture
def chief(app, context, monkeypatch, clock):
    """An administrator whose browser was left open for eleven minutes."""
    quicken(monkeypatch)
    with context.store.write_session() as session:
        new = NewAccount("Ada", "", Role.ADMINISTRATOR, PASSWORD)
        access.add_account(session, new, actor="test", now=NOON)
    client = signed_in_client(app, context, "Ada")
    clock.at += timedelta(minutes=11)
    return client


def acts(context):
    with context.store.read_session() as session:
        inspector = access.account_named(session, NAME).id
    return (
        (f"/people/{inspector}/role", {"role": "administrator"}),
        (f"/people/{inspector}/reset", {}),
        (f"/people/{inspector}/disable", {}),
        ("/people/invite", {"name": "Bo", "role": "administrator"}),
        ("/account/tokens", {"days": "3", "scope": "record"}),
        ("/account/shares", {"code": "S-0101", "days": "3"}),
        ("/account/second-factor", {}),
    )


def test_nothing_of_lasting_harm_is_done_from_a_browser_that_was_left_open(
    chief, context
):
    before = counted(context)

    for path, form in acts(context):
        answer = chief.post(path, data=form, headers=OWN)
        assert answer.status_code == 303, path
        assert answer.location.startswith("/account/prove?next="), path

    assert counted(context) == before


def counted(context):
    with context.store.read_session() as session:
        keys = len(records.ENTRY_KEYS.all(session))
        return sum(1 for _ in entries(session)), keys


def test_after_the_password_it_is_done_for_ten_minutes(chief, context, clock):
    form = {"proof": PASSWORD, "next": "/people"}
    proved = chief.post("/account/prove", data=form, headers=OWN)
    assert (proved.status_code, proved.location) == (303, "/people")

    path, form = acts(context)[0]
    done = chief.post(path, data=form, headers=OWN)
    clock.at += timedelta(minutes=10)
    again = chief.post(path, data=form, headers=OWN)

    assert done.location == "/people"
    assert again.location.startswith("/account/prove")


def test_a_code_of_the_authenticator_does_as_well_and_is_used_up(chief, context, clock):
    with context.store.write_session() as session:
        account = access.account_named(session, "Ada")
        secret = second.begin(session, account, context.seal)
        first = pyotp.TOTP(secret).at(int(NOON.timestamp()))
        second.confirm(session, account, first, NOON, context.seal)
    code = pyotp.TOTP(secret).at(int(clock.now().timestamp()))

    right = chief.post("/account/prove", data={"proof": code}, headers=OWN)
    again = chief.post("/account/prove", data={"proof": code}, headers=OWN)

    assert (right.status_code, again.status_code) == (303, 403)


def test_guessing_the_proof_is_slowed_and_leads_nowhere_else(chief):
    form = {"proof": "not this one", "next": "https://elsewhere.example"}
    answers = [
        chief.post("/account/prove", data=form, headers=OWN).status_code
        for _ in range(7)
    ]

    assert answers[:5] == [403] * 5
    assert answers[-1] == 429


def test_the_duty_holders_policy_is_not_changed_from_a_browser_that_was_left_open(
    chief, context
):
    before = counted(context)
    body = {
        "output": "policy-answer.children",
        "outputs": {"id": "policy-answer", "property": "children"},
        "changedPropIds": ["policy-adopt.n_clicks"],
        "inputs": [{"id": "policy-adopt", "property": "n_clicks", "value": 1}],
        "state": [
            {"id": "policy-tried", "property": "data", "value": {"x": "y"}},
            {"id": "policy-reason", "property": "value", "value": str(uuid4())},
        ],
    }

    answer = chief.post(UPDATE, json=body, headers=OWN)

    assert answer.status_code == 200
    assert "Say that it is you" in answer.text
    assert counted(context) == before
