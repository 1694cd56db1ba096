"""Invitations, resets, tokens and shares; second factors; patience; roles."""

from dataclasses import replace
from datetime import timedelta

import pyotp
import pytest
from argon2 import PasswordHasher

from monitor.domain.notices import NoticeKind
from monitor.domain.people import KeyKind, KeyScope
from monitor.domain.rights import MAY, Right, may
from monitor.domain.vocabulary import Role
from monitor.errors import Conflict, InvalidInput, NotAllowed, NotFound
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.services.entry import invite, keys, passwords, patience, roles, second
from monitor.services.entry.keys import Wish
from monitor.services.entry.patience import Try
from monitor.services.entry.sealing import Seal
from monitor.services.entry.warning import warn_of_tries
from monitor.services.notices.recipients import Choices, choose
from monitor.store import records
from monitor.store.history import changes_of
from tests.conftest import NOON
from tests.quick_hash import quicken

PASSWORD = "oak beam and rope"
IDLE = timedelta(hours=12)
BY = ("test", NOON)
SEAL = Seal(bytes(32))


@pytest.fixture
def session(store, monkeypatch):
    quicken(monkeypatch)
    with store.write_session() as session:
        yield session


def an_account(session, name="Ines", role=Role.INSPECTOR, password=PASSWORD):
    new = NewAccount(name, "ines@velmarsh.example", role, password)
    return access.add_account(session, new, actor="test", now=NOON)


# --- passwords


@pytest.mark.parametrize(
    "password",
    [
        "password1234", "Passw0rd2024!!", "passwordpassword", "qwertyuiop12",
        "123456789012", "aaaaaaaaaaaa", "abcabcabcabc", "!!summer2026!!",
        "iloveyou12345", "Underprop2026", "1q2w3e4r5t6y", "IsoldeIsolde1",
    ],
)  # fmt: skip
def test_what_would_be_tried_first_is_refused(password):
    with pytest.raises(InvalidInput, match="first that would be tried"):
        passwords.hashed(password, "Isolde Fern")


@pytest.mark.parametrize(
    "password",
    ["oak beam and rope", "x" * 11 + "yzvwu", "ведро с дождём", "Tr7#kq9!Lm2x"],
)
def test_other_passwords_are_taken_whatever_they_are_made_of(session, password):
    assert passwords.is_right(passwords.hashed(password), password)


def test_an_account_without_a_password_lets_nobody_in(session):
    an_account(session, password="")

    for guess in ("", "x" * 12, PASSWORD):
        with pytest.raises(NotAllowed, match="do not belong together"):
            access.check_password(session, "Ines", guess)


def test_a_weaker_hash_is_made_anew_at_the_next_sign_in(session, monkeypatch):
    account = an_account(session)
    stronger = PasswordHasher(time_cost=2, memory_cost=16, parallelism=1)
    monkeypatch.setattr(passwords, "HASHER", stronger)

    access.keep_hash_strong(session, account, PASSWORD, NOON)

    fresh = access.account_named(session, "Ines")
    assert fresh.password_hash != account.password_hash
    assert not passwords.wants_new_hash(fresh.password_hash)
    assert access.check_password(session, "Ines", PASSWORD) == fresh


# --- invitations and resets


def test_an_invited_person_chooses_a_password_once(session):
    new = NewAccount("Ines", "", Role.INSPECTOR, "")
    account, path = invite.invite(session, new, actor="test", now=NOON)
    secret = path.rpartition("/")[2]

    keys.choose_password(session, secret, PASSWORD, NOON)

    assert access.check_password(session, "Ines", PASSWORD).id == account.id
    with pytest.raises(NotFound, match="used up"):
        keys.choose_password(session, secret, "another oak and rope", NOON)


def test_a_link_is_256_random_bits_and_its_hash_is_kept(session):
    path = invite.link(session, an_account(session), KeyKind.RESET, by=BY)
    secret = path.rpartition("/")[2]

    (kept,) = records.ENTRY_KEYS.all(session)
    assert len(secret) == 43  # 32 bytes in base 64, by hand
    assert secret not in str(kept)


def test_a_weak_password_leaves_the_link_good(session):
    path = invite.link(session, an_account(session), KeyKind.RESET, by=BY)
    secret = path.rpartition("/")[2]

    with pytest.raises(InvalidInput):
        keys.choose_password(session, secret, "short", NOON)
    keys.choose_password(session, secret, "another oak and rope", NOON)


def test_a_link_ends_in_time_when_a_newer_is_made_and_when_the_account_does(session):
    account = an_account(session)
    first, second_, third = (
        invite.link(session, account, KeyKind.RESET, by=BY).rpartition("/")[2]
        for _ in range(3)
    )
    late = NOON + keys.LASTS[KeyKind.RESET]

    for secret, when in ((first, NOON), (second_, NOON), (third, late)):
        with pytest.raises(NotFound):
            keys.choose_password(session, secret, "another oak and rope", when)
    roles.disable(session, account, actor="test", now=NOON)
    with pytest.raises(NotFound):
        keys.choose_password(session, third, "another oak and rope", NOON)


def test_a_reset_ends_every_sign_in(session):
    account = an_account(session)
    token = access.start_sign_in(session, account, NOON)
    path = invite.link(session, account, KeyKind.RESET, by=BY)

    keys.choose_password(session, path.rpartition("/")[2], "another oak and rope", NOON)

    assert access.who(session, token, NOON, idle=IDLE) is None


# --- tokens and shares


def test_a_token_opens_what_its_account_may_and_no_more(session):
    account = an_account(session)
    wish = Wish(KeyKind.TOKEN, "scales", KeyScope.READ, 30)
    _, secret = keys.make_key(session, account, wish, by=BY)

    program = keys.program_of(session, secret, NOON)

    assert program.account.name == "Ines"
    assert not program.may_record
    assert program.reach.role is None


def test_a_token_for_recording_records_as_its_account_may(session):
    wish = Wish(KeyKind.TOKEN, "", KeyScope.RECORD)
    inspector, auditor = (
        an_account(session, "Ines"),
        an_account(session, "Mira", Role.AUDITOR),
    )

    may_they = [
        keys.program_of(session, keys.make_key(session, one, wish, by=BY)[1], NOON)
        for one in (inspector, auditor)
    ]

    assert [one.may_record for one in may_they] == [True, False]


def test_a_token_ends_in_time_by_hand_and_with_its_account(session):
    account = an_account(session)
    made = [
        keys.make_key(session, account, Wish(KeyKind.TOKEN, days=30), by=BY)
        for _ in range(2)
    ]
    (first, first_secret), (_, second_secret) = made

    assert keys.program_of(session, second_secret, NOON + timedelta(days=30)) is None
    keys.revoke(session, account, first.id, NOON)
    assert keys.program_of(session, first_secret, NOON) is None
    roles.disable(session, account, actor="test", now=NOON)
    assert keys.program_of(session, second_secret, NOON) is None


def test_a_key_of_another_is_not_found(session):
    mine, other = an_account(session, "Ines"), an_account(session, "Mira")
    key, _ = keys.make_key(session, mine, Wish(KeyKind.TOKEN), by=("Ines", NOON))

    with pytest.raises(NotFound):
        keys.revoke(session, other, key.id, NOON)


@pytest.mark.parametrize("days", [0, -1, 366])
def test_a_key_is_good_for_a_span_that_can_be_meant(session, days):
    with pytest.raises(InvalidInput, match="1 to 365 are possible"):
        keys.make_key(
            session, an_account(session), Wish(KeyKind.TOKEN, days=days), by=BY
        )


@pytest.mark.parametrize("kind", list(KeyKind))
def test_a_key_of_one_kind_opens_no_other_door(session, kind):
    account = an_account(session)
    _, secret = keys.make_key(session, account, Wish(kind), by=BY)
    doors = {
        KeyKind.TOKEN: frozenset({KeyKind.TOKEN}),
        KeyKind.SHARE: frozenset({KeyKind.SHARE}),
        KeyKind.RESET: frozenset({KeyKind.RESET, KeyKind.INVITATION}),
    }

    for opens in doors.values():
        if kind in opens:
            assert keys.key_of(session, secret, opens, NOON).kind is kind
        else:
            with pytest.raises(NotFound):
                keys.key_of(session, secret, opens, NOON)


# --- second factor


def enrolled(session):
    account = an_account(session)
    secret = second.begin(session, account, SEAL)
    code = pyotp.TOTP(secret).at(int(NOON.timestamp()))
    return account, secret, code, second.confirm(session, account, code, NOON, SEAL)


def test_the_codes_are_those_of_the_standard():
    # RFC 6238, appendix B: SHA-1, secret "12345678901234567890", 59 s -> 94287082
    secret = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"

    assert pyotp.TOTP(secret, digits=8).at(59) == "94287082"


def test_a_code_is_taken_once_and_near_its_time(session):
    account, secret, code, _ = enrolled(session)
    totp, at = pyotp.TOTP(secret), int(NOON.timestamp())

    def taken(of_s, when_s):
        now = NOON + timedelta(seconds=when_s)
        return second.is_right(session, account, totp.at(at + of_s), now, SEAL)

    assert not second.is_right(session, account, code, NOON, SEAL)  # used to confirm
    assert taken(60, 31)
    assert not taken(60, 60)  # the same again
    assert not taken(30, 60)  # an older one
    assert not taken(90, 181)
    assert not taken(300, 181)
    assert taken(180, 181)


@pytest.mark.parametrize("code", ["", "abcdef", "12345", "１２３４５６", "0" * 40])
def test_what_is_no_code_is_refused(session, code):
    account, *_ = enrolled(session)

    assert not second.is_right(
        session, account, code, NOON + timedelta(seconds=60), SEAL
    )


def test_a_code_on_paper_stands_in_once(session):
    account, _, _, codes = enrolled(session)

    assert len(set(codes)) == second.RECOVERY_CODES_GIVEN
    assert second.is_right(session, account, codes[0].upper(), NOON, SEAL)
    assert not second.is_right(session, account, codes[0], NOON, SEAL)
    assert second.recovery_codes_left(session, account) == len(codes) - 1


def test_codes_on_paper_are_kept_as_hashes(session):
    _, _, _, codes = enrolled(session)

    kept = str(records.RECOVERY_CODES.all(session))
    assert not any(code in kept for code in codes)


def test_a_second_factor_that_was_not_confirmed_does_not_count(session):
    account = an_account(session)
    second.begin(session, account, SEAL)

    assert second.factor_of(session, account) is None
    with pytest.raises(InvalidInput, match="code is not right"):
        second.confirm(session, account, "000000", NOON, SEAL)


def test_taken_off_nothing_of_it_opens_a_door(session):
    account, secret, _, codes = enrolled(session)
    second.take_off(session, account, actor="test", now=NOON)
    later = NOON + timedelta(minutes=2)

    code = pyotp.TOTP(secret).at(int(later.timestamp()))
    assert not second.is_right(session, account, code, later, SEAL)
    assert not second.is_right(session, account, codes[1], later, SEAL)


# --- patience


def tried(session, one, now):
    return patience.take(session, patience.keys_for(session, one), now)


def evaluated(session, tries):
    """How many of these tries, each a (try, instant), would be looked at."""
    return sum(tried(session, one, now) == timedelta(0) for one, now in tries)


def test_a_thousand_tries_from_a_hundred_addresses_are_looked_at_ten_times(session):
    every = timedelta(minutes=15) / 1000
    tries = [
        (Try("Ines", f"203.0.113.{n % 100}"), NOON + n * every) for n in range(1000)
    ]

    assert evaluated(session, tries) <= 10


def test_a_thousand_names_from_one_address_are_looked_at_sixty_times(session):
    # by hand: 50 are free, then waits of 15, 30, ... s fit six more into 15 minutes
    every = timedelta(minutes=15) / 1000
    tries = [(Try(f"n{n}", "203.0.113.7"), NOON + n * every) for n in range(1000)]

    assert evaluated(session, tries) <= 60


def test_each_wait_is_twice_the_last_up_to_an_end():
    waits = [patience.wait_after(n).total_seconds() for n in (-1, 0, 1, 2, 3, 6, 99)]

    assert waits == [0, 15, 30, 60, 120, 900, 900]  # by hand: 15 s doubled; 15 min


def test_nobody_locks_a_known_device_out(session):
    account = an_account(session)
    device = patience.remember_device(session, account, "", NOON)
    for n in range(200):
        tried(session, Try("Ines", f"203.0.113.{n}"), NOON)

    assert tried(session, Try("Ines", "203.0.113.1"), NOON) > timedelta(0)
    assert tried(session, Try("Ines", "203.0.113.1", device), NOON) == timedelta(0)


def test_a_known_device_is_known_for_its_own_account_only_and_is_counted(session):
    device = patience.remember_device(session, an_account(session), "", NOON)
    an_account(session, "Mira")
    for n in range(200):
        tried(session, Try("Mira", f"203.0.113.{n}"), NOON)

    assert tried(session, Try("Mira", "203.0.113.1", device), NOON) > timedelta(0)
    tries = [(Try("Ines", "203.0.113.1", device), NOON) for _ in range(50)]
    assert evaluated(session, tries) == patience.FREE_TRIES


def test_unknown_names_wait_as_known_ones_do(session):
    an_account(session)
    for n in range(8):
        for name in ("Ines", "Nobody"):
            tried(session, Try(name, f"203.0.113.{n}"), NOON)

    left = [tried(session, Try(n, "198.51.100.1"), NOON) for n in ("Ines", "Nobody")]
    assert left[0] == left[1] > timedelta(0)


def test_a_name_that_is_a_password_is_not_kept(session):
    tried(session, Try("hunter2 typed in the wrong box", "203.0.113.7"), NOON)

    kept = session.connection().exec_driver_sql("SELECT key FROM wrong_tries")
    assert not any("hunter2" in key for (key,) in kept)


def test_a_clock_set_back_gives_no_free_tries(session):
    for _ in range(8):
        tried(session, Try("Ines", "203.0.113.7"), NOON)

    earlier = NOON - timedelta(hours=3)
    assert tried(session, Try("Ines", "203.0.113.7"), earlier) > timedelta(0)


def test_the_count_is_one_for_all_processes(any_store, monkeypatch):
    quicken(monkeypatch)
    looked_at = 0
    for n in range(20):
        with any_store.write_session() as session:
            left = tried(session, Try("Ines", f"203.0.113.{n}"), NOON)
            looked_at += left == timedelta(0)

    assert looked_at == patience.FREE_TRIES


def test_the_owner_of_the_account_is_told_once_a_day(session):
    an_account(session)
    choose(
        session,
        Choices("Ines", "ines@velmarsh.example"),
        actor="test",
        now=NOON,
    )
    now, told = NOON, []
    for n in range(40):
        one = Try("Ines", f"203.0.113.{n}")
        now += max(tried(session, one, now), timedelta(seconds=1))
        told.append(warn_of_tries(session, "Ines", now=now))

    escalated = records.NOTICES.table.c.kind == NoticeKind.ESCALATION
    days = {notice.period for notice in records.NOTICES.all(session, escalated)}
    assert sum(told) == len(days) >= 1
    assert told.index(True) >= patience.TOLD_AT - 1


# --- roles


def test_every_right_says_who_has_it_and_an_owner_has_none():
    assert MAY.keys() == set(Right)
    assert not any(may(Role.OWNER, right) for right in Right)
    assert not may(Role.AUDITOR, Right.RECORD)
    assert all(may(Role.ADMINISTRATOR, right) for right in Right)


def test_a_changed_role_holds_at_the_next_request(session):
    account = an_account(session)
    token = access.start_sign_in(session, account, NOON)

    roles.change_role(session, account, Role.AUDITOR, by=BY)

    assert not access.who(session, token, NOON, idle=IDLE).may_record


def test_the_last_administrator_stays(session):
    first = an_account(session, "Ada", Role.ADMINISTRATOR)

    with pytest.raises(Conflict, match="last administrator"):
        roles.disable(session, first, actor="test", now=NOON)
    with pytest.raises(Conflict, match="last administrator"):
        roles.change_role(session, first, Role.PLANNER, by=BY)
    an_account(session, "Bo", Role.ADMINISTRATOR)
    roles.disable(session, first, actor="test", now=NOON)


def test_an_enabled_account_comes_in_again(session):
    account = an_account(session)
    roles.disable(session, account, actor="test", now=NOON)
    account = replace(account, is_active=False)
    roles.enable(session, account, actor="test", now=NOON)

    assert access.check_password(session, "Ines", PASSWORD).is_active


def test_the_ledger_tells_every_change_of_an_account(session):
    account = an_account(session)
    roles.change_role(session, account, Role.PLANNER, by=BY)
    keys.make_key(session, account, Wish(KeyKind.TOKEN), by=BY)

    changes = changes_of(session, [f"account {account.id}"], at_most=9)
    assert [one.action for one in changes] == [
        "gave out token",
        "made planner",
        "added",
    ]


def test_one_ends_own_sign_ins_and_no_others(session):
    mine, other = an_account(session, "Ines"), an_account(session, "Mira")
    token = access.start_sign_in(session, mine, NOON)
    (kept,) = access.sign_ins_of(session, mine, NOON, idle=IDLE)

    with pytest.raises(NotFound):
        access.end_one(session, other, kept.id, NOON)
    access.end_one(session, mine, kept.id, NOON)

    assert access.who(session, token, NOON, idle=IDLE) is None
