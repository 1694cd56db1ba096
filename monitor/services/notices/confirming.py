"""A new address gets one letter, and digests only once that letter was answered.

The link in it works once, for the address it was sent to, for two weeks. What can not
wait is told meanwhile where the person was invited, or to the contact for what reaches
nobody: a slip of the pen in an address must not keep a grave notice from everybody.
"""

import hmac
from dataclasses import replace
from datetime import datetime, timedelta
from hashlib import sha256
from uuid import UUID

from monitor.domain.notices import (
    Channel,
    Notice,
    NoticeKind,
    NoticeLine,
    Recipient,
)
from monitor.errors import NotFound
from monitor.services.notices.blank import blank
from monitor.store import Session, outbox, records
from monitor.store.ledger import append

OPEN_FOR = timedelta(days=14)
"""How long a letter can be answered; own choice."""

_TO_WHOM_IT_NAMES = (
    NoticeKind.CONFIRMATION, NoticeKind.TRIAL, NoticeKind.CHECKPOINT,
)  # fmt: skip
"""Sent to the address itself: whoever runs this named it for just that letter."""

ASKED = (
    "Somebody entered this address for notices of what is owed on tree supports. "
    "Answer once, within 14 days, to get the weekly digests here. If you did not "
    "expect this, do nothing: no digest comes."
)


def is_confirmed(person: Recipient) -> bool:
    """Whether digests may go to the address."""
    return person.confirmed_at is not None


def asked_anew(person: Recipient, now: datetime) -> Recipient:
    """The person with an address that nobody has answered from.

    A webhook is set by who runs this and is signed: it counts as answered.
    """
    if person.channel is Channel.WEBHOOK:
        return replace(person, confirmed_at=now, asked_at=None)
    return replace(person, confirmed_at=None, asked_at=now)


def ask(session: Session, person: Recipient, now: datetime) -> None:
    """Raise the letter that wants an answer."""
    if person.asked_at is None:
        return
    key = f"{person.id} confirmation {person.asked_at.isoformat()}"
    letter = replace(
        blank(NoticeKind.CONFIRMATION, key, "Please confirm this address", now),
        recipient_id=person.id,
        topic="confirmation",
        period=person.asked_at.isoformat(),
        lines=(NoticeLine("", ASKED),),
    )
    outbox.add_new(session, [letter])


def answer_token(secret: bytes, person: Recipient) -> str:
    """What makes the link unguessable and good for this letter only: 128 bits."""
    asked = person.asked_at.isoformat() if person.asked_at else ""
    said = f"confirm:{person.id}:{person.address}:{asked}".encode()
    return hmac.new(secret, said, sha256).hexdigest()[:32]


def waiting(
    session: Session, key: UUID, token: str, secret: bytes, *, now: datetime
) -> Recipient:
    """The person whose letter the link belongs to.

    Raises
    ------
    NotFound : it was answered, replaced or is too old, or never was
    """
    found = records.RECIPIENTS.find(session, id=key)
    is_open = (
        found is not None
        and found.asked_at is not None
        and found.asked_at <= now < found.asked_at + OPEN_FOR
        and hmac.compare_digest(answer_token(secret, found).encode(), token.encode())
    )
    if found is None or not is_open:
        raise NotFound("letter to answer", str(key))
    return found


def confirm(
    session: Session, key: UUID, token: str, secret: bytes, *, now: datetime
) -> Recipient:
    """Take the answer; the link works no more.

    Raises
    ------
    NotFound : see `waiting`
    """
    person = waiting(session, key, token, secret, now=now)
    done = replace(person, confirmed_at=now, asked_at=None)
    records.RECIPIENTS.change(session, done)
    said = {"name": done.name, "channel": done.channel.value}
    change = ("confirmed address", f"recipient {done.id}", said)
    append(session, [change], actor=done.name, now=now)
    return done


def address_for(
    session: Session, notice: Notice, person: Recipient, fallback: str
) -> str:
    """Where a notice goes; empty if it has to wait for an answer."""
    if notice.kind in _TO_WHOM_IT_NAMES or is_confirmed(person):
        return person.address
    if notice.kind is NoticeKind.DIGEST:
        return ""
    account = records.ACCOUNTS.find(session, name=person.name)
    return account.email if account is not None and account.email else fallback
