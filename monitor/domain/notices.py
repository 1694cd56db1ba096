"""Notices: who is told of what, and when it suits them."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum
from uuid import UUID
from zoneinfo import ZoneInfo

WEEKDAYS = (
    "monday",
    "tuesday",
    "wednesday",
    "thursday",
    "friday",
    "saturday",
    "sunday",
)
DAY_MINUTES = 24 * 60
WEEK = timedelta(days=7)


class Channel(StrEnum):
    """How a notice travels."""

    EMAIL = "e-mail"
    WEBHOOK = "webhook"


class NoticeKind(StrEnum):
    """What a notice is for."""

    DIGEST = "digest"
    ESCALATION = "escalation"
    UNDELIVERED = "undelivered"
    TRIAL = "trial"
    CONFIRMATION = "confirmation"
    CHECKPOINT = "checkpoint"


class NoticeState(StrEnum):
    """What became of a notice; not sent: nothing was owed, or it is wanted no more."""

    WAITING = "waiting"
    SENT = "sent"
    FAILED = "failed"
    FOLDED = "folded into another"
    NOT_SENT = "not sent"


@dataclass(frozen=True, slots=True)
class Recipient:
    """A person who is told, and how they want it.

    Attributes
    ----------
    name : of the account, where the person has one
    address : e-mail address, or HTTPS address of a webhook
    sites : ids of the sites this person answers for; empty for all of them
    digest_day : 0 for Monday to 6 for Sunday
    digest_minute : of the day, in `timezone`
    wants_empty : whether a week in which nothing is owed is told, too
    quiet_from, quiet_to : minutes of the day between which only "make safe" is told,
        None for no quiet hours
    confirmed_at : when a letter to the address was answered; None if it was not yet
    asked_at : when the letter that waits for an answer was raised, None if none waits
    """

    id: UUID
    name: str
    channel: Channel
    address: str
    sites: tuple[str, ...]
    wants_digest: bool
    digest_day: int
    digest_minute: int
    wants_empty: bool
    wants_escalations: bool
    timezone: str
    quiet_from: int | None
    quiet_to: int | None
    recorded_by: str
    recorded_at: datetime
    confirmed_at: datetime | None
    asked_at: datetime | None


@dataclass(frozen=True, slots=True)
class NoticeLine:
    """One sentence of a notice.

    Attributes
    ----------
    heading : what it stands under
    path : of the page that shows more, without the address of the pages
    """

    heading: str
    text: str
    path: str = ""


@dataclass(frozen=True, slots=True)
class Notice:
    """One thing told to one person, once.

    Attributes
    ----------
    key : whom, what and which period; no two notices share one
    recipient_id : None for the fallback contact of the settings
    topic, period : what it speaks of, and which time; periods of a topic only rise
    covers : rank of the standing it told of and that has not passed; 0 for none
    is_urgent : whether it breaks quiet hours
    folded_into_id : the notice that carried this one along
    message_id : the same at every attempt; empty until the first
    attempts : begun so far, those of killed processes included
    claimed_by, claimed_until : who is sending it, and when another may
    ended_at : when it was sent or given up
    error : why the last attempt failed
    """

    id: UUID
    key: str
    kind: NoticeKind
    recipient_id: UUID | None
    topic: str
    period: str
    covers: int
    is_urgent: bool
    subject: str
    lines: tuple[NoticeLine, ...]
    raised_at: datetime
    state: NoticeState
    folded_into_id: UUID | None
    message_id: str
    attempts: int
    next_try_at: datetime
    claimed_by: str
    claimed_until: datetime | None
    ended_at: datetime | None
    error: str


def is_quiet(recipient: Recipient, now: datetime) -> bool:
    """Whether the person does not want to be disturbed now.

    Hours may run over midnight; the first minute is quiet, the last is not.
    """
    start, end = recipient.quiet_from, recipient.quiet_to
    if start is None or end is None:
        return False
    local = now.astimezone(ZoneInfo(recipient.timezone))
    minute = local.hour * 60 + local.minute
    if start <= end:
        return start <= minute < end
    return minute >= start or minute < end


def last_digest_at(recipient: Recipient, now: datetime) -> datetime:
    """The newest moment, up to now, at which a weekly digest was due.

    An hour that the clocks skip counts as the one after, an hour that comes twice as
    its first.
    """
    local = now.astimezone(ZoneInfo(recipient.timezone)).date()
    back = (local.weekday() - recipient.digest_day) % 7
    at = _instant(recipient, local - timedelta(days=back))
    if at > now:
        at = _instant(recipient, local - timedelta(days=back + 7))
    return at


def digest_period(recipient: Recipient, at: datetime) -> str:
    """The ISO week a digest belongs to, at the person's place, such as "2026-W48"."""
    year, week, _ = at.astimezone(ZoneInfo(recipient.timezone)).isocalendar()
    return f"{year}-W{week:02}"


def _instant(recipient: Recipient, day: date) -> datetime:
    hour, minute = divmod(recipient.digest_minute, 60)
    local = datetime.combine(day, time(hour, minute), ZoneInfo(recipient.timezone))
    return local.astimezone(UTC)
