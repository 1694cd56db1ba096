"""Keys that are given out: invitations, resets, tokens of programs, shares.

A key is 256 random bits, told once and kept as a hash. Invitations and resets open one
door once; tokens and shares open theirs until they end or are revoked.
"""

import secrets
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from uuid import UUID

from monitor.clock import new_id
from monitor.domain.people import Account, EntryKey, KeyKind, KeyScope
from monitor.errors import InvalidInput, NotFound
from monitor.services.access import (
    SignedIn,
    change_password,
    digest,
    log,
)
from monitor.store import Session
from monitor.store.ledger import append
from monitor.store.records import ACCOUNTS, ENTRY_KEYS

LASTS = {
    KeyKind.INVITATION: timedelta(days=7),
    KeyKind.RESET: timedelta(hours=2),
    KeyKind.TOKEN: timedelta(days=365),
    KeyKind.SHARE: timedelta(days=30),
}
"""How long each kind is good if nothing else is said, which is also the most."""

TOKEN_PREFIX = "underprop_"
"""Says what it is, so that a search for lost secrets finds it."""

TOUCH_EVERY = timedelta(minutes=5)
_GONE = "This link is used up, too old or not one of ours. Ask for another."


@dataclass(frozen=True, slots=True)
class Wish:
    """A key that is to be made.

    Attributes
    ----------
    days : how long it is to be good, None for as long as its kind is
    """

    kind: KeyKind
    label: str = ""
    scope: KeyScope = KeyScope.READ
    days: int | None = None
    support_id: UUID | None = None


def make_key(
    session: Session, account: Account | None, wish: Wish, *, by: tuple[str, datetime]
) -> tuple[EntryKey, str]:
    """Make a key; it is told here and nowhere again.

    Raises
    ------
    InvalidInput : it would be good for no time, or for longer than its kind may be
    """
    actor, now = by
    secret = secrets.token_urlsafe(32)
    if wish.kind is KeyKind.TOKEN:
        secret = TOKEN_PREFIX + secret
    made = EntryKey(
        id=new_id(),
        kind=wish.kind,
        account_id=account.id if account else None,
        support_id=wish.support_id,
        token_hash=digest(secret),
        label=" ".join(wish.label.split())[:120],
        scope=wish.scope,
        made_by=actor,
        made_at=now,
        ends_at=now + _lasts(wish),
        used_at=None,
        ended_at=None,
    )
    if wish.kind in {KeyKind.INVITATION, KeyKind.RESET} and account is not None:
        _end_others(session, account, now)
    ENTRY_KEYS.add(session, [made])
    _log(session, "gave out", made, account, by)
    return made, secret


def key_of(
    session: Session, secret: str, kinds: frozenset[KeyKind], now: datetime
) -> EntryKey:
    """The good key of that secret.

    Raises
    ------
    NotFound : there is none, or it is good no more; the two are answered alike
    """
    found = ENTRY_KEYS.find(session, token_hash=digest(secret)) if secret else None
    if found is None or found.kind not in kinds or not found.is_good(now):
        raise NotFound("link", "this", hint=_GONE)
    return found


def choose_password(
    session: Session, secret: str, password: str, now: datetime
) -> Account:
    """Use an invitation or a reset up: its account has this password from now on.

    Raises
    ------
    NotFound : the link is good no more, or its account is disabled
    InvalidInput : the password is too weak; the link stays good
    """
    key = key_of(session, secret, frozenset({KeyKind.INVITATION, KeyKind.RESET}), now)
    account = ACCOUNTS.get(session, key.account_id) if key.account_id else None
    if account is None or not account.is_active:
        raise NotFound("link", "this", hint=_GONE)
    change_password(session, account, password, keep=None, by=(account.name, now))
    _end_others(session, account, now, used=key)
    return account


def program_of(session: Session, secret: str, now: datetime) -> SignedIn | None:
    """Who is behind the token of a program, None if it opens nothing."""
    try:
        key = key_of(session, secret, frozenset({KeyKind.TOKEN}), now)
    except NotFound:
        return None
    account = ACCOUNTS.get(session, key.account_id) if key.account_id else None
    if account is None or not account.is_active:
        return None
    return SignedIn(account, None, key)


def wants_touch(key: EntryKey, now: datetime) -> bool:
    """Whether the last use was noted long enough ago to note it again."""
    return key.used_at is None or now >= key.used_at + TOUCH_EVERY


def touch(session: Session, key: EntryKey, now: datetime) -> None:
    """Note that a token or a share was used, unless it was revoked meanwhile."""
    current = ENTRY_KEYS.get(session, key.id)
    if current.ended_at is None:
        ENTRY_KEYS.change(session, replace(current, used_at=now))


def keys_of(session: Session, account: Account, now: datetime) -> list[EntryKey]:
    """Good tokens of an account, and the good shares it gave out, newest first."""
    table = ENTRY_KEYS.table
    mine = ENTRY_KEYS.all(session, table.c.account_id == account.id)
    given = ENTRY_KEYS.all(
        session, table.c.made_by == account.name, table.c.kind == KeyKind.SHARE
    )
    good = [
        key
        for key in [*mine, *given]
        if key.is_good(now) and key.kind in {KeyKind.TOKEN, KeyKind.SHARE}
    ]
    return sorted(good, key=lambda key: key.made_at, reverse=True)


def revoke(session: Session, account: Account, key_id: UUID, now: datetime) -> None:
    """End a key of one's own; another's is not found."""
    found = {key.id: key for key in keys_of(session, account, now)}.get(key_id)
    if found is None:
        raise NotFound("key", str(key_id))
    ENTRY_KEYS.change(session, replace(found, ended_at=now))
    _log(session, "revoked", found, account, (account.name, now))


def _lasts(wish: Wish) -> timedelta:
    longest = LASTS[wish.kind]
    lasts = longest if wish.days is None else timedelta(days=wish.days)
    if not timedelta(0) < lasts <= longest:
        raise InvalidInput(
            f"{wish.days} days were asked for; 1 to {longest.days} are possible.",
            field="days",
            code="acc-016",
        )
    return lasts


def _end_others(
    session: Session, account: Account, now: datetime, *, used: EntryKey | None = None
) -> None:
    """Links to choose a password end together; one of them was used."""
    table = ENTRY_KEYS.table
    for key in ENTRY_KEYS.all(session, table.c.account_id == account.id):
        is_link = key.kind in {KeyKind.INVITATION, KeyKind.RESET}
        if is_link and key.ended_at is None:
            used_at = now if used is not None and key.id == used.id else key.used_at
            ENTRY_KEYS.change(session, replace(key, ended_at=now, used_at=used_at))


def _log(
    session: Session,
    action: str,
    key: EntryKey,
    account: Account | None,
    by: tuple[str, datetime],
) -> None:
    actor, now = by
    if account is not None:
        log(session, f"{action} {key.kind.value}", account, actor, now)
        return
    payload = {"kind": key.kind.value, "label": key.label}
    subject = f"support {key.support_id}"
    append(session, [(f"{action} link", subject, payload)], actor=actor, now=now)
