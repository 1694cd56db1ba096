"""Instruments, inspections, readings, findings, photos, works, segments."""

from datetime import date, datetime
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from monitor.domain.vocabulary import Answer, Grade, InspectionKind, LeafState, WorkKind
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
from monitor.store.types import Choice, Day, Flag, Instant, Number, Whole, Words


class InstrumentRow(Base):
    """A gauge or level in use."""

    __tablename__ = "instrument"
    id: Mapped[UUID] = own_id()
    code: Mapped[str] = mapped_column(Words, unique=True)
    method: Mapped[str] = words()
    serial: Mapped[str] = words()
    calibrated_on: Mapped[date | None] = mapped_column(Day)
    note: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()


class InspectionRow(Base):
    """One support looked at by one person at one moment."""

    __tablename__ = "inspection"
    checks = (only("kind", InspectionKind), only("leaf", LeafState))
    id: Mapped[UUID] = own_id()
    root_id: Mapped[UUID] = points_to("inspection.id")
    support_id: Mapped[UUID] = points_to("support.id")
    kind: Mapped[InspectionKind] = choice(InspectionKind)
    inspected_on: Mapped[date] = mapped_column(Day, index=True)
    inspector: Mapped[str] = words()
    device_at: Mapped[datetime | None] = mapped_column(Instant)
    air_c: Mapped[float | None] = mapped_column(Number)
    leaf: Mapped[LeafState | None] = mapped_column(Choice(LeafState))
    note: Mapped[str] = words()
    source: Mapped[str] = words()
    withdrawn: Mapped[bool] = mapped_column(Flag)
    recorded_by: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
    supersedes_id: Mapped[UUID | None] = supersedes("inspection.id")
    reason: Mapped[str] = words()


class ReadingRow(Base):
    """One number as typed and in the canonical unit."""

    __tablename__ = "reading"
    checks = (
        only("answer", Answer),
        sa.CheckConstraint("relation IN ('=', '<', '>')", name="relation"),
        sa.CheckConstraint(
            "(answer = 'measured') = (value IS NOT NULL)", name="measured_has_value"
        ),
        sa.CheckConstraint("repeat >= 1", name="repeat"),
    )
    id: Mapped[UUID] = own_id()
    inspection_id: Mapped[UUID] = points_to("inspection.id")
    mark_id: Mapped[UUID] = points_to("mark.id")
    quantity: Mapped[str] = words()
    repeat: Mapped[int] = mapped_column(Whole)
    answer: Mapped[Answer] = choice(Answer)
    value: Mapped[float | None] = mapped_column(Number)
    relation: Mapped[str] = words()
    given: Mapped[str] = words()
    method: Mapped[str] = words()
    instrument_id: Mapped[UUID | None] = may_point_to("instrument.id", index=False)
    sd_instrument: Mapped[float] = mapped_column(Number)
    sd_placement: Mapped[float] = mapped_column(Number)
    resolution: Mapped[float] = mapped_column(Number)
    reason: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
    supersedes_id: Mapped[UUID | None] = supersedes("reading.id")


class FindingRow(Base):
    """A coded observation with a grade."""

    __tablename__ = "finding"
    checks = (only("grade", Grade),)
    id: Mapped[UUID] = own_id()
    root_id: Mapped[UUID] = points_to("finding.id")
    inspection_id: Mapped[UUID] = points_to("inspection.id")
    member_id: Mapped[UUID | None] = may_point_to("member.id")
    code: Mapped[str] = words()
    grade: Mapped[Grade] = choice(Grade)
    note: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
    supersedes_id: Mapped[UUID | None] = supersedes("finding.id")


class WorkRow(Base):
    """An adjustment, repair, repaint, replacement or removal."""

    __tablename__ = "work"
    checks = (only("kind", WorkKind),)
    id: Mapped[UUID] = own_id()
    root_id: Mapped[UUID] = points_to("work.id")
    support_id: Mapped[UUID] = points_to("support.id")
    member_id: Mapped[UUID | None] = may_point_to("member.id")
    kind: Mapped[WorkKind] = choice(WorkKind)
    done_on: Mapped[date] = mapped_column(Day)
    done_by: Mapped[str] = words()
    note: Mapped[str] = words()
    withdrawn: Mapped[bool] = mapped_column(Flag)
    recorded_by: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
    supersedes_id: Mapped[UUID | None] = supersedes("work.id")


class ClosureRow(Base):
    """A finding that no longer stands."""

    __tablename__ = "closure"
    id: Mapped[UUID] = own_id()
    finding_id: Mapped[UUID] = points_to("finding.id")
    closed_on: Mapped[date] = mapped_column(Day)
    work_id: Mapped[UUID | None] = may_point_to("work.id")
    reason: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()


class SegmentRow(Base):
    """A stretch of one series that starts anew after work."""

    __tablename__ = "segment"
    checks = (sa.UniqueConstraint("mark_id", "series", "work_id"),)
    id: Mapped[UUID] = own_id()
    mark_id: Mapped[UUID] = points_to("mark.id")
    series: Mapped[str] = words()
    starts_on: Mapped[date] = mapped_column(Day)
    work_id: Mapped[UUID] = points_to("work.id")
    recorded_at: Mapped[datetime] = instant()


class PhotoRow(Base):
    """A photograph, kept under the hash of its bytes."""

    __tablename__ = "photo"
    checks = (sa.CheckConstraint("length(sha256) = 64", name="sha256"),)
    id: Mapped[UUID] = own_id()
    support_id: Mapped[UUID] = points_to("support.id")
    inspection_id: Mapped[UUID | None] = may_point_to("inspection.id")
    member_id: Mapped[UUID | None] = may_point_to("member.id")
    sha256: Mapped[str] = mapped_column(Words, index=True)
    media_type: Mapped[str] = words()
    size_bytes: Mapped[int] = mapped_column(Whole)
    taken_on: Mapped[date | None] = mapped_column(Day)
    caption: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
