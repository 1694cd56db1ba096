"""Sending: at least once, under one Message-ID, by one process at a time.

A notice is claimed in one transaction, handed over outside of any, and settled in
another. A process that dies in between leaves a claim that runs out; the next one sends
the same letter with the same Message-ID, by which mail programs know it for the same.
"""

import logging
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from monitor.clock import Clock, new_id
from monitor.domain.notices import (
    Channel,
    Notice,
    NoticeKind,
    NoticeLine,
    NoticeState,
    Recipient,
    is_quiet,
)
from monitor.errors import DeliveryError
from monitor.notify import Carrier, Letter
from monitor.services.notices.blank import blank
from monitor.services.notices.confirming import address_for
from monitor.services.notices.letters import Letterhead, letter_of
from monitor.store import Session, Store, outbox, records
from monitor.store.outbox import Claim

DELAYS = (
    timedelta(minutes=1),
    timedelta(minutes=5),
    timedelta(minutes=20),
    timedelta(hours=1),
    timedelta(hours=3),
    timedelta(hours=8),
)
"""Between tries; after the last the notice counts as failed. Own choice."""

MOST_TRIES = len(DELAYS) + 1
MOST_A_DAY = 6
"""Letters of escalations to one person in 24 hours; more wait and come as one."""

DAY = timedelta(days=1)

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Post:
    """How letters leave the house.

    Attributes
    ----------
    carriers : by channel; a channel that is not there is not set up
    fallback : e-mail address that is told of what could not be delivered, or empty
    """

    carriers: Mapping[Channel, Carrier]
    head: Letterhead
    fallback: str


@dataclass(frozen=True, slots=True)
class Parcel:
    """A claimed notice, ready to go."""

    notice: Notice
    channel: Channel
    address: str
    letter: Letter


@dataclass(slots=True)
class Tally:
    """What a run of the sender came to."""

    sent: int = 0
    put_off: int = 0
    failed: int = 0

    def __str__(self) -> str:
        return f"sent: {self.sent}; to try again: {self.put_off}; failed: {self.failed}"


def send_notices(store: Store, post: Post, clock: Clock) -> Tally:
    """Send every notice whose time has come."""
    holder, tally = str(new_id()), Tally()
    with store.read_session() as session:
        waiting = outbox.sendable(session, clock.now(), DELAYS[-1])
    for notice in waiting:
        by = Claim(holder, clock.now())
        with store.write_session() as session:
            parcel = claim(session, notice, post, by)
        if parcel is not None:
            _send(store, post, parcel, by, tally)
    return tally


def claim(session: Session, notice: Notice, post: Post, by: Claim) -> Parcel | None:
    """Take one notice, and what can travel with it; None if it is not to go now."""
    person = _person(session, notice)
    if person is not None and not _is_wanted(session, notice, person):
        outbox.call_off(session, notice.id, by.now)
        return None
    place = _place(session, notice, person, post)
    if place is None or (person and not _suits(session, notice, person, by.now)):
        return None
    message_id = post.head.message_id(notice)
    if not outbox.claim(session, notice, by, message_id):
        return None
    if notice.kind is NoticeKind.ESCALATION and not notice.attempts:
        outbox.fold(session, notice, by, _companions(session, notice))
    claimed = records.NOTICES.get(session, notice.id)
    if claimed.attempts > MOST_TRIES:
        _give_up(session, claimed, by, "It was begun too often and never ended.")
        return None
    carried = outbox.carried(session, notice.id) if _carries(notice) else []
    return Parcel(claimed, *place, letter_of(post.head, claimed, carried, person))


def _carries(notice: Notice) -> bool:
    """A digest stands for the older ones and does not repeat them."""
    return notice.kind is NoticeKind.ESCALATION


def _person(session: Session, notice: Notice) -> Recipient | None:
    key = notice.recipient_id
    return records.RECIPIENTS.get(session, key) if key is not None else None


def _place(
    session: Session, notice: Notice, person: Recipient | None, post: Post
) -> tuple[Channel, str] | None:
    channel = person.channel if person else Channel.EMAIL
    address = (
        address_for(session, notice, person, post.fallback) if person else post.fallback
    )
    return (channel, address) if channel in post.carriers and address else None


def _is_wanted(session: Session, notice: Notice, person: Recipient) -> bool:
    """Whether the person, who may have left since, still wants such notices."""
    account = records.ACCOUNTS.find(session, name=person.name)
    if account is not None and not account.is_active:
        return False
    if notice.kind is NoticeKind.DIGEST:
        return person.wants_digest
    if notice.kind is NoticeKind.CONFIRMATION:
        return person.asked_at is not None and (
            person.asked_at.isoformat() == notice.period
        )
    return person.wants_escalations or notice.kind is not NoticeKind.ESCALATION


def _suits(session: Session, notice: Notice, person: Recipient, now: datetime) -> bool:
    """Whether the person wants to be told now."""
    if notice.is_urgent or notice.kind in (NoticeKind.TRIAL, NoticeKind.CONFIRMATION):
        return True
    if is_quiet(person, now):
        return False
    if notice.kind is not NoticeKind.ESCALATION:
        return True
    return outbox.sent_since(session, person.id, now - DAY) < MOST_A_DAY


def _companions(session: Session, notice: Notice) -> list[Notice]:
    """Newer escalations to the same person: they travel in one letter."""
    return [
        other
        for other in outbox.in_state(session, NoticeState.WAITING)
        if other.recipient_id == notice.recipient_id
        and other.kind is NoticeKind.ESCALATION
        and other.id > notice.id
    ]


def _send(store: Store, post: Post, parcel: Parcel, by: Claim, tally: Tally) -> None:
    notice = parcel.notice
    log.info("Notice %s: attempt %d begins.", notice.id, notice.attempts)
    try:
        post.carriers[parcel.channel].deliver(parcel.letter, parcel.address)
    except DeliveryError as error:
        log.warning("Notice %s: %s", notice.id, error.message)
        with store.write_session() as session:
            if error.permanent or notice.attempts >= MOST_TRIES:
                _give_up(session, notice, by, error.message)
                tally.failed += 1
            else:
                _put_off(session, notice, by, error.message)
                tally.put_off += 1
        return
    with store.write_session() as session:
        values = {"state": NoticeState.SENT, "ended_at": by.now, "error": ""}
        outbox.settle(session, notice.id, by.holder, values)
    log.info("Notice %s: sent.", notice.id)
    tally.sent += 1


def _put_off(session: Session, notice: Notice, by: Claim, why: str) -> None:
    later = by.now + DELAYS[notice.attempts - 1]
    values = {"next_try_at": later, "error": why}
    outbox.settle(session, notice.id, by.holder, values)


def _give_up(session: Session, notice: Notice, by: Claim, why: str) -> None:
    """Mark a notice failed and, in the same breath, raise it to the fallback."""
    values = {"state": NoticeState.FAILED, "ended_at": by.now, "error": why}
    if not outbox.settle(session, notice.id, by.holder, values):
        return
    if notice.kind is NoticeKind.UNDELIVERED:
        return
    outbox.add_new(session, [_for_fallback(session, notice, why, by.now)])


def _for_fallback(session: Session, notice: Notice, why: str, now: datetime) -> Notice:
    name = (
        outbox.people(session).get(notice.recipient_id) if notice.recipient_id else ""
    )
    told = NoticeLine(
        "Not delivered", f"A notice to {name} could not be delivered. {why}", "notices"
    )
    carried = outbox.carried(session, notice.id) if _carries(notice) else []
    return replace(
        blank(
            NoticeKind.UNDELIVERED,
            f"undelivered {notice.id}",
            f"Not delivered to {name}: {notice.subject}",
            now,
        ),
        is_urgent=notice.is_urgent,
        lines=(told, *notice.lines, *(line for one in carried for line in one.lines)),
    )
