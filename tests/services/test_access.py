"""Accounts, passwords and sign-ins."""

from datetime import timedelta

import pytest

from monitor.domain.vocabulary import Role
from monitor.errors import Conflict, InvalidInput, NotAllowed, NotFound
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.services.entry import passwords, roles
from monitor.store import records
from monitor.store.history import changes_of
from tests.build import a_support
from tests.conftest import NOON
from tests.quick_hash import quicken

PASSWORD = "oak beam and rope"
IDLE = timedelta(hours=12)


@pytest.fixture
def session(store, monkeypatch):
    quicken(monkeypatch)
    with store.write_session() as session:
        yield session


def an_account(session, name="Ines", role=Role.INSPECTOR):
    new = NewAccount(name, "", role, PASSWORD)
    return access.add_account(session, new, actor="test", now=NOON)


def test_a_password_is_kept_as_an_argon2id_hash_only(session):
    account = an_account(session)

    assert account.password_hash.startswith("$argon2id$")
    assert PASSWORD not in account.password_hash


def test_a_hash_costs_at_least_what_owasp_asks():
    # OWASP Password Storage Cheat Sheet: Argon2id, 19 MiB, 2 rounds, 1 lane or more
    assert passwords.HASHER.memory_cost >= 19 * 1024
    assert passwords.HASHER.time_cost >= 2
    assert passwords.HASHER.parallelism >= 1


def test_the_right_password_finds_the_account_and_a_wrong_one_does_not(session):
    account = an_account(session)

    assert access.check_password(session, " Ines ", PASSWORD) == account
    with pytest.raises(NotAllowed, match="do not belong together"):
        access.check_password(session, "Ines", PASSWORD + "x")
    with pytest.raises(NotAllowed, match="do not belong together"):
        access.check_password(session, "Nobody", PASSWORD)


def test_a_disabled_account_is_let_in_no_more_and_its_sign_ins_end(session):
    account = an_account(session)
    token = access.start_sign_in(session, account, NOON)

    roles.disable(session, account, actor="test", now=NOON)

    assert access.who(session, token, NOON, idle=IDLE) is None
    with pytest.raises(NotAllowed, match="do not belong together"):
        access.check_password(session, "Ines", PASSWORD)


@pytest.mark.parametrize("password", ["short", "x" * 11, "x" * 129])
def test_a_password_too_short_or_too_long_is_refused_in_words(session, password):
    new = NewAccount("Ines", "", Role.INSPECTOR, password)
    with pytest.raises(InvalidInput, match="12 to 128 are expected"):
        access.add_account(session, new, actor="test", now=NOON)

    assert access.accounts(session) == []


def test_a_name_is_taken_once(session):
    an_account(session)

    with pytest.raises(Conflict, match="There is an account “Ines” already"):
        an_account(session, "  Ines ")


def test_an_account_needs_a_name(session):
    with pytest.raises(InvalidInput, match="needs a name"):
        an_account(session, "   ")


def test_an_owner_belongs_to_somebody_who_owns_sites(session):
    with pytest.raises(InvalidInput, match="own sites only"):
        an_account(session, role=Role.OWNER)
    spot = a_support(session)

    new = NewAccount("Olga", "", Role.OWNER, PASSWORD, "City of Velmarsh")
    olga = access.add_account(session, new, actor="test", now=NOON)

    assert olga.party_id == spot.site.owner_id


def test_nobody_else_belongs_to_an_owner(session):
    a_support(session)
    new = NewAccount("Ines", "", Role.INSPECTOR, PASSWORD, "City of Velmarsh")

    with pytest.raises(InvalidInput, match="sees every site"):
        access.add_account(session, new, actor="test", now=NOON)


def test_a_token_is_known_once_and_its_hash_is_kept(session):
    token = access.start_sign_in(session, an_account(session), NOON)

    (kept,) = records.SIGN_INS.all(session)
    assert token not in str(kept)
    assert len(token) >= 43  # 32 random bytes in base 64


@pytest.mark.parametrize("token", ["", "made up", "0" * 43])
def test_an_unknown_token_is_nobody(session, token):
    an_account(session)

    assert access.who(session, token, NOON, idle=IDLE) is None


def test_a_sign_in_lasts_as_long_as_it_is_used_but_not_for_ever(session):
    token = access.start_sign_in(session, an_account(session), NOON)
    now = NOON
    while now < NOON + access.LONGEST - timedelta(hours=11):
        now += timedelta(hours=11)
        found = access.who(session, token, now, idle=IDLE)
        assert found is not None
        access.touch(session, found, now)

    end = NOON + access.LONGEST
    assert access.who(session, token, end, idle=IDLE) is None


def test_an_unused_sign_in_ends(session):
    token = access.start_sign_in(session, an_account(session), NOON)

    assert access.who(session, token, NOON + IDLE, idle=IDLE) is None


def test_signing_out_can_not_be_undone_by_a_request_already_on_its_way(session):
    token = access.start_sign_in(session, an_account(session), NOON)
    on_its_way = access.who(session, token, NOON, idle=IDLE)

    access.end_sign_in(session, on_its_way, NOON)
    access.touch(session, on_its_way, NOON + timedelta(minutes=6))

    assert access.who(session, token, NOON, idle=IDLE) is None


def test_a_new_password_ends_every_other_sign_in(session):
    account = an_account(session)
    here, there = (access.start_sign_in(session, account, NOON) for _ in range(2))
    kept = access.who(session, here, NOON, idle=IDLE).sign_in

    access.change_password(
        session, account, "a longer rope and beam", keep=kept, by=("Ines", NOON)
    )

    assert access.who(session, here, NOON, idle=IDLE) is not None
    assert access.who(session, there, NOON, idle=IDLE) is None
    assert access.check_password(session, "Ines", "a longer rope and beam")


def test_who_may_record_follows_the_role(session):
    tokens = {
        role: access.start_sign_in(session, an_account(session, role.value, role), NOON)
        for role in (Role.INSPECTOR, Role.MANAGER, Role.AUDITOR)
    }

    may = {
        role: access.who(session, token, NOON, idle=IDLE).may_record
        for role, token in tokens.items()
    }
    assert may == {Role.INSPECTOR: True, Role.MANAGER: True, Role.AUDITOR: False}


def test_the_ledger_tells_what_happened_to_an_account_and_no_password(session):
    account = an_account(session)
    access.start_sign_in(session, account, NOON)
    roles.disable(session, account, actor="test", now=NOON)

    changes = changes_of(session, [f"account {account.id}"], at_most=9)
    assert [change.action for change in changes] == ["disabled", "signed in", "added"]
    assert all("argon2" not in change.payload for change in changes)


def test_an_unknown_name_is_not_found(session):
    with pytest.raises(NotFound, match="account list"):
        access.account_named(session, "Nobody")
