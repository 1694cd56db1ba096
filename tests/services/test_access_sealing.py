"""Secrets of second factors lie sealed; a copy of the database opens nothing."""

import base64
import stat
from dataclasses import replace
from datetime import timedelta
from uuid import uuid4

import pyotp
import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.services.entry import second
from monitor.services.entry.sealing import KEY_FILE, Seal, is_sealed, seal_of
from monitor.store import records
from tests.conftest import NOON

SEAL, OTHER = Seal(bytes(32)), Seal(b"\1" * 32)


@pytest.fixture
def session(store):
    with store.write_session() as session:
        yield session


def an_account(session):
    new = NewAccount("Ines", "", Role.INSPECTOR, "")
    return access.add_account(session, new, actor="test", now=NOON)


def code_of(secret):
    return pyotp.TOTP(secret).at(int(NOON.timestamp()))


@given(st.text(max_size=60))
def test_what_is_sealed_opens_again_for_whom_it_was_sealed_and_nobody_else(secret):
    whose, another = uuid4(), uuid4()

    kept = SEAL.close(secret, whose)

    assert SEAL.open(kept, whose) == secret
    assert SEAL.open(kept, another) == ""
    assert OTHER.open(kept, whose) == ""
    assert SEAL.close(secret, whose) != kept


@given(st.binary(max_size=80))
def test_what_was_never_sealed_here_opens_as_nothing(noise):
    kept = "sealed1." + base64.b64encode(noise).decode()

    assert SEAL.open(kept, uuid4()) == ""
    assert SEAL.open("sealed1.é!", uuid4()) == ""


def test_the_database_holds_no_secret_of_an_authenticator(session):
    account = an_account(session)

    secret = second.begin(session, account, SEAL)

    kept = records.SECOND_FACTORS.find(session, account_id=account.id).secret
    assert is_sealed(kept)
    assert secret not in kept
    assert second.begun(session, account, SEAL) == secret


def test_with_another_key_no_code_is_right_but_those_on_paper_still_are(session):
    account = an_account(session)
    secret = second.begin(session, account, SEAL)
    codes = second.confirm(session, account, code_of(secret), NOON, SEAL)
    later = pyotp.TOTP(secret).at(int(NOON.timestamp()) + 30)

    assert not second.is_right(session, account, later, NOON, OTHER)
    assert second.is_right(session, account, later, NOON, SEAL)
    assert second.is_right(session, account, codes[0], NOON, OTHER)


def test_what_was_kept_in_clear_before_goes_on_and_is_sealed_at_the_next_setup(
    session,
):
    account = an_account(session)
    secret = pyotp.random_base32()
    second.begin(session, account, SEAL)
    found = records.SECOND_FACTORS.find(session, account_id=account.id)
    old = replace(found, secret=secret, confirmed_at=NOON)
    records.SECOND_FACTORS.put(session, [old])

    assert second.is_right(session, account, code_of(secret), NOON, SEAL)
    assert second.seal_old(session, SEAL) == 1
    assert second.seal_old(session, SEAL) == 0

    kept = records.SECOND_FACTORS.find(session, account_id=account.id)
    assert is_sealed(kept.secret)
    assert SEAL.open(kept.secret, account.id) == secret


def test_the_key_lies_in_the_data_folder_for_this_user_only(tmp_path):
    folder = tmp_path / "data"
    whose = uuid4()

    kept = seal_of(folder).close("x", whose)

    assert seal_of(folder).open(kept, whose) == "x"
    assert stat.S_IMODE((folder / KEY_FILE).stat().st_mode) == 0o600


def test_who_sits_there_is_certain_for_ten_minutes_after_each_proof(session):
    account = an_account(session)
    token = access.start_sign_in(session, account, NOON)

    def here(at):
        return access.who(session, token, at, idle=timedelta(hours=12))

    late = NOON + timedelta(minutes=10)
    assert access.is_sure(here(NOON), late - timedelta(seconds=1))
    assert not access.is_sure(here(late), late)
    assert not access.is_sure(here(NOON), NOON - timedelta(seconds=1))
    access.prove(session, here(late), late)
    assert access.is_sure(here(late), late + timedelta(minutes=9))
