"""Who is told, and the outbox of what they are told; what calendars have shown."""

from datetime import datetime
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from monitor.domain.notices import Channel, NoticeKind, NoticeState
from monitor.store.models.base import (
    Base,
    choice,
    instant,
    may_point_to,
    only,
    own_id,
    words,
)
from monitor.store.types import Document, Flag, Id, Instant, Whole, Words

_MINUTE = "{0} BETWEEN 0 AND 1439"


class RecipientRow(Base):
    """A person who is told, and how they want it."""

    __tablename__ = "recipient"
    checks = (
        only("channel", Channel),
        sa.CheckConstraint("digest_day BETWEEN 0 AND 6", name="digest_day"),
        sa.CheckConstraint(_MINUTE.format("digest_minute"), name="digest_minute"),
        sa.CheckConstraint(_MINUTE.format("quiet_from"), name="quiet_from"),
        sa.CheckConstraint(_MINUTE.format("quiet_to"), name="quiet_to"),
    )
    id: Mapped[UUID] = own_id()
    name: Mapped[str] = mapped_column(Words, unique=True)
    channel: Mapped[Channel] = choice(Channel)
    address: Mapped[str] = words()
    sites: Mapped[Any] = mapped_column(Document)
    wants_digest: Mapped[bool] = mapped_column(Flag)
    digest_day: Mapped[int] = mapped_column(Whole)
    digest_minute: Mapped[int] = mapped_column(Whole)
    wants_empty: Mapped[bool] = mapped_column(Flag)
    wants_escalations: Mapped[bool] = mapped_column(Flag)
    timezone: Mapped[str] = words()
    quiet_from: Mapped[int | None] = mapped_column(Whole)
    quiet_to: Mapped[int | None] = mapped_column(Whole)
    recorded_by: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
    confirmed_at: Mapped[datetime | None] = mapped_column(Instant)
    asked_at: Mapped[datetime | None] = mapped_column(Instant)


class NoticeRow(Base):
    """One thing told to one person, once."""

    __tablename__ = "notice"
    checks = (
        only("kind", NoticeKind),
        only("state", NoticeState),
        sa.CheckConstraint("attempts >= 0", name="attempts"),
        sa.CheckConstraint("covers >= 0", name="covers"),
        sa.Index(None, "recipient_id", "topic"),
        sa.Index(None, "state", "next_try_at"),
    )
    id: Mapped[UUID] = own_id()
    key: Mapped[str] = mapped_column(Words, unique=True)
    kind: Mapped[NoticeKind] = choice(NoticeKind)
    recipient_id: Mapped[UUID | None] = may_point_to("recipient.id", index=False)
    topic: Mapped[str] = words()
    period: Mapped[str] = words()
    covers: Mapped[int] = mapped_column(Whole)
    is_urgent: Mapped[bool] = mapped_column(Flag)
    subject: Mapped[str] = words()
    lines: Mapped[Any] = mapped_column(Document)
    raised_at: Mapped[datetime] = instant()
    state: Mapped[NoticeState] = choice(NoticeState)
    folded_into_id: Mapped[UUID | None] = may_point_to("notice.id")
    message_id: Mapped[str] = words()
    attempts: Mapped[int] = mapped_column(Whole)
    next_try_at: Mapped[datetime] = instant()
    claimed_by: Mapped[str] = words()
    claimed_until: Mapped[datetime | None] = mapped_column(Instant)
    ended_at: Mapped[datetime | None] = mapped_column(Instant)
    error: Mapped[str] = words()


class CalendarShownRow(Base):
    """A support that a calendar shows, or showed until it went out of it."""

    __tablename__ = "calendar_shown"
    scope: Mapped[str] = mapped_column(Words, primary_key=True)
    support_id: Mapped[UUID] = mapped_column(
        Id, sa.ForeignKey("support.id"), primary_key=True
    )
    since_at: Mapped[datetime] = instant()
    gone_at: Mapped[datetime | None] = mapped_column(Instant)
