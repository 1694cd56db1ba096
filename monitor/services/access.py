"""Accounts and sign-ins: who may come in, and for how long.

Passwords are kept as Argon2id hashes. A signed-in browser holds a random token; the
record keeps its SHA-256 only, so a copy of the database lets nobody in, and a sign-in
that was ended is ended for every copy of the cookie.
"""

import hashlib
import secrets
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerifyMismatchError

from monitor.clock import new_id
from monitor.domain.people import Account, SignIn
from monitor.domain.vocabulary import Role
from monitor.errors import Conflict, InvalidInput, NotAllowed, NotFound
from monitor.store import Session
from monitor.store.ledger import append
from monitor.store.records import ACCOUNTS, SIGN_INS

LONGEST = timedelta(days=7)
"""However often it is used, a sign-in ends after this."""

TOUCH_EVERY = timedelta(minutes=5)
PASSWORD_LENGTHS = (12, 200)
MAY_RECORD = frozenset({Role.ADMINISTRATOR, Role.MANAGER, Role.PLANNER, Role.INSPECTOR})

_HASHER = PasswordHasher()
_NOBODY = _HASHER.hash(secrets.token_urlsafe())
_WRONG = "Name and password do not belong together. Try again."


@dataclass(frozen=True, slots=True)
class SignedIn:
    """The person behind a request."""

    account: Account
    sign_in: SignIn

    @property
    def may_record(self) -> bool:
        """Whether the account may add to the record."""
        return self.account.role in MAY_RECORD


@dataclass(frozen=True, slots=True)
class NewAccount:
    """What an account is made from."""

    name: str
    email: str
    role: Role
    password: str


def add_account(
    session: Session, new: NewAccount, *, actor: str, now: datetime
) -> Account:
    """Make an account.

    Raises
    ------
    InvalidInput : the name is empty or the password too short or too long
    Conflict : the name is taken
    """
    name = " ".join(new.name.split())
    if not name:
        raise InvalidInput("An account needs a name.", field="name", code="acc-010")
    if new.role is Role.OWNER:
        raise InvalidInput(
            "An owner may see own sites only, and accounts can not be tied to sites "
            "yet; choose another role.",
            field="role",
            code="acc-011",
        )
    if _named(session, name) is not None:
        raise Conflict(f"There is an account “{name}” already.", code="acc-012")
    account = Account(
        new_id(), name, new.email.strip(), new.role, _hashed(new.password), True, now
    )
    ACCOUNTS.add(session, [account])
    _log(session, "added", account, actor, now)
    return account


def accounts(session: Session) -> list[Account]:
    """Every account, by name."""
    return sorted(ACCOUNTS.all(session), key=lambda account: account.name.casefold())


def check_password(session: Session, name: str, password: str) -> Account:
    """The account these belong to; a wrong name takes as long as a wrong password.

    Raises
    ------
    NotAllowed : they do not belong together, or the account is disabled
    """
    account = _named(session, name)
    is_usable = account is not None and account.is_active
    stored = account.password_hash if account is not None and is_usable else _NOBODY
    is_right = _matches(stored, password)
    if account is None or not is_usable or not is_right:
        raise NotAllowed(_WRONG, code="acc-002")
    return account


def start_sign_in(session: Session, account: Account, now: datetime) -> str:
    """Begin a sign-in and return its token, the only time it is known."""
    token = secrets.token_urlsafe(32)
    SIGN_INS.add(
        session,
        [SignIn(new_id(), account.id, _digest(token), now, now, now + LONGEST, None)],
    )
    _log(session, "signed in", account, account.name, now)
    return token


def who(
    session: Session, token: str, now: datetime, *, idle: timedelta
) -> SignedIn | None:
    """Who holds that token, None if the sign-in has ended in any way."""
    found = SIGN_INS.find(session, token_hash=_digest(token)) if token else None
    if found is None or found.ended_at is not None:
        return None
    if now >= found.ends_at or now >= found.seen_at + idle:
        return None
    account = ACCOUNTS.get(session, found.account_id)
    return SignedIn(account, found) if account.is_active else None


def wants_touch(signed_in: SignedIn, now: datetime) -> bool:
    """Whether the last use was noted long enough ago to note it again."""
    return now >= signed_in.sign_in.seen_at + TOUCH_EVERY


def touch(session: Session, signed_in: SignedIn, now: datetime) -> None:
    """Note that a sign-in is in use, unless it was ended meanwhile."""
    current = SIGN_INS.get(session, signed_in.sign_in.id)
    if current.ended_at is None:
        SIGN_INS.change(session, replace(current, seen_at=now))


def end_sign_in(session: Session, signed_in: SignedIn, now: datetime) -> None:
    """Sign out: the token is worthless from now on, wherever it was copied."""
    SIGN_INS.change(session, replace(signed_in.sign_in, ended_at=now))
    _log(session, "signed out", signed_in.account, signed_in.account.name, now)


def change_password(
    session: Session,
    account: Account,
    password: str,
    *,
    keep: SignIn | None,
    by: tuple[str, datetime],
) -> None:
    """Set a new password and end every sign-in of the account but the one to keep.

    Parameters
    ----------
    by : actor and instant
    """
    actor, now = by
    ACCOUNTS.change(session, replace(account, password_hash=_hashed(password)))
    _end_all(session, account, keep, now)
    _log(session, "changed password", account, actor, now)


def disable(session: Session, account: Account, *, actor: str, now: datetime) -> None:
    """Let an account in no more, and end its sign-ins; what it recorded stays."""
    ACCOUNTS.change(session, replace(account, is_active=False))
    _end_all(session, account, None, now)
    _log(session, "disabled", account, actor, now)


def account_named(session: Session, name: str) -> Account:
    """The account of that name, or NotFound."""
    account = _named(session, name)
    if account is None:
        raise NotFound("account", name, hint="See “underprop account list”.")
    return account


def _named(session: Session, name: str) -> Account | None:
    return ACCOUNTS.find(session, name=" ".join(name.split()))


def _end_all(
    session: Session, account: Account, keep: SignIn | None, now: datetime
) -> None:
    for sign_in in SIGN_INS.all(session, SIGN_INS.table.c.account_id == account.id):
        is_kept = keep is not None and sign_in.id == keep.id
        if sign_in.ended_at is None and not is_kept:
            SIGN_INS.change(session, replace(sign_in, ended_at=now))


def _hashed(password: str) -> str:
    shortest, longest = PASSWORD_LENGTHS
    if not shortest <= len(password) <= longest:
        raise InvalidInput(
            f"A password of {len(password)} characters was given; {shortest} to "
            f"{longest} are expected. Three or four words make a good one.",
            field="password",
            code="acc-013",
        )
    return _HASHER.hash(password)


def _matches(stored: str, password: str) -> bool:
    if len(password) > PASSWORD_LENGTHS[1]:
        return False
    try:
        return _HASHER.verify(stored, password)
    except (VerifyMismatchError, InvalidHashError):
        return False


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def _log(
    session: Session, action: str, account: Account, actor: str, now: datetime
) -> None:
    payload = {"name": account.name, "role": account.role.value}
    append(session, [(action, f"account {account.id}", payload)], actor=actor, now=now)
