"""Policies, calls after events, deferrals, closures of sites, wishes for the crown."""

from datetime import date, datetime
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from monitor.domain.vocabulary import LeafState, Standing
from monitor.store.models.base import (
    Base,
    choice,
    instant,
    only,
    own_id,
    points_to,
    supersedes,
    words,
)
from monitor.store.types import Choice, Day, Document, Flag, Whole


class PolicyRow(Base):
    """One version of the duty-holder's policy."""

    __tablename__ = "policy"
    checks = (sa.CheckConstraint("version >= 1", name="version"),)
    id: Mapped[UUID] = own_id()
    version: Mapped[int] = mapped_column(Whole, unique=True)
    name: Mapped[str] = words()
    content: Mapped[Any] = mapped_column(Document)
    reason: Mapped[str] = words()
    adopted_by: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()


class EventCallRow(Base):
    """A support that an event calls to a look; once for the same event."""

    __tablename__ = "event_call"
    checks = (
        only("standing", Standing),
        sa.CheckConstraint("done_by_on >= happened_on", name="done_by_on"),
        sa.CheckConstraint("again_days >= 1", name="again_days"),
        sa.UniqueConstraint("event_id", "support_id", "happened_on"),
    )
    id: Mapped[UUID] = own_id()
    event_id: Mapped[UUID] = points_to("event.id")
    support_id: Mapped[UUID] = points_to("support.id")
    place: Mapped[int] = mapped_column(Whole)
    label: Mapped[str] = words()
    happened_on: Mapped[date] = mapped_column(Day)
    done_by_on: Mapped[date] = mapped_column(Day)
    again_days: Mapped[int | None] = mapped_column(Whole)
    standing: Mapped[Standing] = choice(Standing)
    recorded_at: Mapped[datetime] = instant()


class DeferralRow(Base):
    """An inspection put off on purpose."""

    __tablename__ = "deferral"
    checks = (sa.CheckConstraint("until_on > from_on", name="until_on"),)
    id: Mapped[UUID] = own_id()
    support_id: Mapped[UUID] = points_to("support.id")
    rule: Mapped[str] = words()
    from_on: Mapped[date] = mapped_column(Day)
    until_on: Mapped[date] = mapped_column(Day)
    reason: Mapped[str] = words()
    name: Mapped[str] = words()
    given_on: Mapped[date] = mapped_column(Day)
    withdrawn: Mapped[bool] = mapped_column(Flag)
    recorded_by: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
    supersedes_id: Mapped[UUID | None] = supersedes("deferral.id")


class SiteClosureRow(Base):
    """Days a client keeps a site closed."""

    __tablename__ = "site_closure"
    checks = (sa.CheckConstraint("last_on >= first_on", name="last_on"),)
    id: Mapped[UUID] = own_id()
    site_id: Mapped[UUID] = points_to("site.id")
    first_on: Mapped[date] = mapped_column(Day)
    last_on: Mapped[date] = mapped_column(Day)
    reason: Mapped[str] = words()
    withdrawn: Mapped[bool] = mapped_column(Flag)
    recorded_by: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
    supersedes_id: Mapped[UUID | None] = supersedes("site_closure.id")


class CrownWishRow(Base):
    """In which state the crown is wanted for a look."""

    __tablename__ = "crown_wish"
    checks = (only("state", LeafState),)
    id: Mapped[UUID] = own_id()
    support_id: Mapped[UUID] = points_to("support.id")
    state: Mapped[LeafState | None] = mapped_column(Choice(LeafState))
    leaf_out: Mapped[str] = words()
    leaf_fall: Mapped[str] = words()
    recorded_by: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
    supersedes_id: Mapped[UUID | None] = supersedes("crown_wish.id")
