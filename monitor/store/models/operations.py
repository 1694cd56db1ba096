"""Events, files taken in, jobs."""

from datetime import date, datetime
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from monitor.domain.vocabulary import EventKind
from monitor.store.models.base import (
    Base,
    choice,
    instant,
    may_point_to,
    only,
    own_id,
    words,
)
from monitor.store.types import Day, Flag, Instant, Number, Whole, Words


class EventRow(Base):
    """Something that calls for extra looks."""

    __tablename__ = "event"
    checks = (
        only("kind", EventKind),
        sa.CheckConstraint("ended_on >= happened_on", name="ended_on"),
    )
    id: Mapped[UUID] = own_id()
    kind: Mapped[EventKind] = choice(EventKind)
    name: Mapped[str] = words()
    happened_on: Mapped[date] = mapped_column(Day)
    area: Mapped[str] = words()
    support_id: Mapped[UUID | None] = may_point_to("support.id")
    magnitude: Mapped[float | None] = mapped_column(Number)
    ended_on: Mapped[date | None] = mapped_column(Day)
    note: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
    withdrawn: Mapped[bool] = mapped_column(Flag)


class ImportRow(Base):
    """A file that was taken in."""

    __tablename__ = "import"
    id: Mapped[UUID] = own_id()
    file_name: Mapped[str] = words()
    sha256: Mapped[str] = mapped_column(Words, index=True)
    kind: Mapped[str] = words()
    rows_taken: Mapped[int] = mapped_column(Whole)
    rows_known: Mapped[int] = mapped_column(Whole)
    rows_refused: Mapped[int] = mapped_column(Whole)
    recorded_by: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()


class LeaseRow(Base):
    """Which process runs the jobs."""

    __tablename__ = "lease"
    name: Mapped[str] = mapped_column(Words, primary_key=True)
    holder: Mapped[str] = words()
    ends_at: Mapped[datetime] = instant()


class JobRunRow(Base):
    """One run of one job."""

    __tablename__ = "job_run"
    id: Mapped[UUID] = own_id()
    job: Mapped[str] = mapped_column(Words, index=True)
    started_at: Mapped[datetime] = instant()
    finished_at: Mapped[datetime | None] = mapped_column(Instant)
    outcome: Mapped[str] = words()
    summary: Mapped[str] = words()
