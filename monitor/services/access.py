"""Accounts and sign-ins: who may come in, and for how long.

A signed-in browser holds a random token; the record keeps its SHA-256 only, so a copy
of the database lets nobody in, and a sign-in that was ended is ended for every copy of
the cookie.
"""

import hashlib
import secrets
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from uuid import UUID

from monitor.clock import new_id
from monitor.domain.people import Account, EntryKey, KeyScope, SignIn
from monitor.domain.rights import Right, may
from monitor.domain.vocabulary import Role
from monitor.errors import Conflict, InvalidInput, NotAllowed, NotFound
from monitor.services.entry.passwords import (
    hashed,
    hashed_anew,
    is_right,
    wants_new_hash,
)
from monitor.store import Session
from monitor.store.ledger import append
from monitor.store.reach import Reach
from monitor.store.records import ACCOUNTS, PARTIES, SIGN_INS

LONGEST = timedelta(days=7)
"""However often it is used, a sign-in ends after this unless the settings say."""

SURE_FOR = timedelta(minutes=10)
"""How long after a password or a code it is taken to be the same person still."""

TOUCH_EVERY = timedelta(minutes=5)
NO_SITE = UUID(int=0)

_WRONG = "Name and password do not belong together. Try again."


@dataclass(frozen=True, slots=True)
class SignedIn:
    """Who is behind a request: a person in a browser, or a program with a key."""

    account: Account
    sign_in: SignIn | None
    key: EntryKey | None = None

    @property
    def may_record(self) -> bool:
        """Whether the account may add to the record."""
        return self.may(Right.RECORD)

    @property
    def changes(self) -> bool:
        """Whether it may change anything at all; a key for reading may not."""
        return self.key is None or self.key.scope is KeyScope.RECORD

    @property
    def reach(self) -> Reach:
        """What it sees and may change of the record."""
        account = self.account
        sees_all = may(account.role, Right.SEE_EVERY_SITE)
        owner_id = None if sees_all else account.party_id or NO_SITE
        return Reach(owner_id=owner_id, role=account.role if self.changes else None)

    def may(self, right: Right) -> bool:
        """Whether it has a right."""
        return self.changes and may(self.account.role, right)


@dataclass(frozen=True, slots=True)
class NewAccount:
    """What an account is made from.

    Attributes
    ----------
    password : empty for a person who is invited and chooses one
    owner : name of the party whose sites an owner sees
    """

    name: str
    email: str
    role: Role
    password: str
    owner: str = ""


@dataclass(frozen=True, slots=True)
class Browser:
    """What is known of a browser that signs in."""

    address: str = ""
    name: str = ""
    longest: timedelta = LONGEST


UNKNOWN = Browser()


def add_account(
    session: Session, new: NewAccount, *, actor: str, now: datetime
) -> Account:
    """Make an account.

    Raises
    ------
    InvalidInput : the name is empty, the password too weak, or an owner without sites
    Conflict : the name is taken
    """
    name = " ".join(new.name.split())
    if not name or not name.isprintable() or len(name) > 200:
        raise InvalidInput(
            "An account needs a name of one line.", field="name", code="acc-010"
        )
    party_id = owner_of(session, new.role, new.owner)
    if _named(session, name) is not None:
        raise Conflict(f"There is an account “{name}” already.", code="acc-012")
    kept = hashed(new.password, name) if new.password else ""
    account = Account(
        new_id(), name, new.email.strip(), new.role, kept, True, now, party_id
    )
    ACCOUNTS.add(session, [account])
    log(session, "added", account, actor, now)
    return account


def owner_of(session: Session, role: Role, owner: str) -> UUID | None:
    """The party that an account of this role belongs to.

    Raises
    ------
    InvalidInput : an owner without a party, or a party with another role
    """
    if role is not Role.OWNER:
        if owner:
            raise InvalidInput(
                f"Only an owner belongs to “{owner}”; a {role.value} sees every site.",
                field="owner",
                code="acc-011",
            )
        return None
    found = PARTIES.find(session, name=owner.strip()) if owner.strip() else None
    if found is None:
        raise InvalidInput(
            "An owner sees own sites only, so name the owner as the sites do.",
            field="owner",
            code="acc-011",
        )
    return found.id


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
    kept = account.password_hash if account is not None and is_usable else ""
    if not is_right(kept, password) or account is None:
        raise NotAllowed(_WRONG, code="acc-002")
    return account


def is_password_of(account: Account, password: str) -> bool:
    """Whether it is the password of that account, which may have none."""
    return is_right(account.password_hash, password)


def prove(session: Session, here: SignedIn, now: datetime) -> None:
    """Note that the person in a browser said once more who they are."""
    if here.sign_in is not None:
        SIGN_INS.change(session, replace(here.sign_in, proved_at=now))
        log(session, "proved again", here.account, here.account.name, now)


def is_sure(here: SignedIn, now: datetime) -> bool:
    """Whether it was certain a short while ago who sits there; never of a program."""
    if here.sign_in is None:
        return False
    return timedelta(0) <= now - here.sign_in.sure_at < SURE_FOR


def keep_hash_strong(
    session: Session, account: Account, password: str, now: datetime
) -> Account:
    """Hash a right password anew if its hash was made with less work than today's."""
    if not wants_new_hash(account.password_hash):
        return account
    fresh = replace(account, password_hash=hashed_anew(password))
    ACCOUNTS.change(session, fresh)
    log(session, "hash renewed", account, account.name, now)
    return fresh


def start_sign_in(
    session: Session, account: Account, now: datetime, *, browser: Browser = UNKNOWN
) -> str:
    """Begin a sign-in and return its token, the only time it is known."""
    token = secrets.token_urlsafe(32)
    ends_at = now + browser.longest
    made = SignIn(new_id(), account.id, digest(token), now, now, ends_at, None)
    address, name = browser.address[:80], browser.name[:200]
    SIGN_INS.add(session, [replace(made, address=address, browser=name)])
    log(session, "signed in", account, account.name, now)
    return token


def who(
    session: Session, token: str, now: datetime, *, idle: timedelta
) -> SignedIn | None:
    """Who holds that token, None if the sign-in has ended in any way."""
    found = SIGN_INS.find(session, token_hash=digest(token)) if token else None
    if found is None or not _is_alive(found, now, idle):
        return None
    account = ACCOUNTS.get(session, found.account_id)
    return SignedIn(account, found) if account.is_active else None


def sign_ins_of(
    session: Session, account: Account, now: datetime, *, idle: timedelta
) -> list[SignIn]:
    """Every sign-in of an account that is good, the newest first."""
    found = SIGN_INS.all(session, SIGN_INS.table.c.account_id == account.id)
    alive = [one for one in found if _is_alive(one, now, idle)]
    return sorted(alive, key=lambda one: one.seen_at, reverse=True)


def wants_touch(signed_in: SignedIn, now: datetime) -> bool:
    """Whether the last use was noted long enough ago to note it again."""
    sign_in = signed_in.sign_in
    return sign_in is not None and now >= sign_in.seen_at + TOUCH_EVERY


def touch(session: Session, signed_in: SignedIn, now: datetime) -> None:
    """Note that a sign-in is in use, unless it was ended meanwhile."""
    if signed_in.sign_in is None:
        return
    current = SIGN_INS.get(session, signed_in.sign_in.id)
    if current.ended_at is None:
        SIGN_INS.change(session, replace(current, seen_at=now))


def end_sign_in(session: Session, signed_in: SignedIn, now: datetime) -> None:
    """Sign out: the token is worthless from now on, wherever it was copied."""
    if signed_in.sign_in is not None:
        SIGN_INS.change(session, replace(signed_in.sign_in, ended_at=now))
        log(session, "signed out", signed_in.account, signed_in.account.name, now)


def end_one(session: Session, account: Account, key: UUID, now: datetime) -> None:
    """End one sign-in of an account; another's is not found."""
    found = SIGN_INS.find(session, id=key, account_id=account.id)
    if found is None:
        raise NotFound("sign-in", str(key))
    if found.ended_at is None:
        SIGN_INS.change(session, replace(found, ended_at=now))
        log(session, "ended a sign-in", account, account.name, now)


def end_all(
    session: Session, account: Account, keep: SignIn | None, now: datetime
) -> None:
    """End every sign-in of an account but the one to keep."""
    for sign_in in SIGN_INS.all(session, SIGN_INS.table.c.account_id == account.id):
        is_kept = keep is not None and sign_in.id == keep.id
        if sign_in.ended_at is None and not is_kept:
            SIGN_INS.change(session, replace(sign_in, ended_at=now))


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
    kept = hashed(password, account.name)
    ACCOUNTS.change(session, replace(account, password_hash=kept))
    end_all(session, account, keep, now)
    log(session, "changed password", account, actor, now)


def account_named(session: Session, name: str) -> Account:
    """The account of that name, or NotFound."""
    account = _named(session, name)
    if account is None:
        raise NotFound("account", name, hint="See “underprop account list”.")
    return account


def digest(token: str) -> str:
    """What is kept of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def log(
    session: Session, action: str, account: Account, actor: str, now: datetime
) -> None:
    """Tell the ledger what happened to an account."""
    payload = {"name": account.name, "role": account.role.value}
    append(session, [(action, f"account {account.id}", payload)], actor=actor, now=now)


def _named(session: Session, name: str) -> Account | None:
    return ACCOUNTS.find(session, name=" ".join(name.split()))


def _is_alive(sign_in: SignIn, now: datetime, idle: timedelta) -> bool:
    is_over = now >= sign_in.ends_at or now >= sign_in.seen_at + idle
    return sign_in.ended_at is None and not is_over
