"""Supports, members, as-built facts, marks, limits."""

from datetime import date, datetime
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from monitor.domain.vocabulary import Consequence, LimitBasis, MemberKind, Occupancy
from monitor.store.models.base import (
    Base,
    choice,
    instant,
    may_point_to,
    only,
    own_id,
    points_to,
    supersedes,
    words,
)
from monitor.store.types import Day, Number, Whole, Words


class SupportRow(Base):
    """One system installed to hold a tree or limb."""

    __tablename__ = "support"
    checks = (
        only("occupancy", Occupancy),
        only("consequence", Consequence),
        sa.CheckConstraint("removed_on >= installed_on", name="removed_on"),
        sa.CheckConstraint("interval_months > 0", name="interval_months"),
    )
    id: Mapped[UUID] = own_id()
    tree_id: Mapped[UUID] = points_to("tree.id")
    code: Mapped[str] = mapped_column(Words, unique=True)
    reason: Mapped[str] = words()
    target: Mapped[str] = words()
    occupancy: Mapped[Occupancy] = choice(Occupancy)
    consequence: Mapped[Consequence] = choice(Consequence)
    installed_on: Mapped[date] = mapped_column(Day)
    removed_on: Mapped[date | None] = mapped_column(Day)
    installer_id: Mapped[UUID | None] = may_point_to("party.id")
    interval_months: Mapped[int | None] = mapped_column(Whole)
    interval_reason: Mapped[str] = words()
    note: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()


class MemberRow(Base):
    """One installed post, pin, cable, rod or guy."""

    __tablename__ = "member"
    checks = (
        only("kind", MemberKind),
        sa.UniqueConstraint("support_id", "code"),
        sa.CheckConstraint("removed_on >= installed_on", name="removed_on"),
        sa.CheckConstraint(
            "bearing_deg >= 0 AND bearing_deg < 360", name="bearing_deg"
        ),
    )
    id: Mapped[UUID] = own_id()
    support_id: Mapped[UUID] = points_to("support.id")
    code: Mapped[str] = words()
    kind: Mapped[MemberKind] = choice(MemberKind)
    installed_on: Mapped[date] = mapped_column(Day)
    removed_on: Mapped[date | None] = mapped_column(Day)
    removal_note: Mapped[str] = words()
    bearing_deg: Mapped[float | None] = mapped_column(Number)
    recorded_at: Mapped[datetime] = instant()


class FactRow(Base):
    """One as-built fact of a member."""

    __tablename__ = "fact"
    id: Mapped[UUID] = own_id()
    member_id: Mapped[UUID] = points_to("member.id")
    name: Mapped[str] = words()
    number: Mapped[float | None] = mapped_column(Number)
    given: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
    supersedes_id: Mapped[UUID | None] = supersedes("fact.id")


class MarkRow(Base):
    """A named spot where a reading is always taken."""

    __tablename__ = "mark"
    checks = (sa.UniqueConstraint("member_id", "code"),)
    id: Mapped[UUID] = own_id()
    member_id: Mapped[UUID] = points_to("member.id")
    code: Mapped[str] = words()
    note: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()


class LimitOverrideRow(Base):
    """Watch and act values set for one support."""

    __tablename__ = "limit_override"
    checks = (only("basis", LimitBasis),)
    id: Mapped[UUID] = own_id()
    support_id: Mapped[UUID] = points_to("support.id")
    series: Mapped[str] = words()
    basis: Mapped[LimitBasis] = choice(LimitBasis)
    watch: Mapped[float] = mapped_column(Number)
    act: Mapped[float] = mapped_column(Number)
    reason: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
    supersedes_id: Mapped[UUID | None] = supersedes("limit_override.id")
