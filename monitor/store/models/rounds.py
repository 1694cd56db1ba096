"""Agreed rounds with their stops, and the travel table."""

from datetime import date, datetime
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from monitor.store.models.base import (
    Base,
    instant,
    own_id,
    points_to,
    supersedes,
    words,
)
from monitor.store.types import Day, Document, Flag, Id, Whole, Words


class AgreedRoundRow(Base):
    """One version of the round of one person on one day."""

    __tablename__ = "agreed_round"
    checks = (
        sa.CheckConstraint("version >= 1", name="version"),
        sa.CheckConstraint("begins_min BETWEEN 0 AND ends_min", name="begins_min"),
        sa.CheckConstraint("ends_min <= 1440", name="ends_min"),
        sa.CheckConstraint("back_min >= leaves_min", name="back_min"),
        sa.UniqueConstraint("root_id", "version"),
    )
    id: Mapped[UUID] = own_id()
    root_id: Mapped[UUID] = mapped_column(Id)
    version: Mapped[int] = mapped_column(Whole)
    person: Mapped[str] = words()
    skills: Mapped[str | None] = mapped_column(Words)
    begins_min: Mapped[int] = mapped_column(Whole)
    ends_min: Mapped[int] = mapped_column(Whole)
    break_min: Mapped[int] = mapped_column(Whole)
    planned_on: Mapped[date] = mapped_column(Day, index=True)
    start: Mapped[str] = words()
    leaves_min: Mapped[int] = mapped_column(Whole)
    back_min: Mapped[int] = mapped_column(Whole)
    travel_min: Mapped[int] = mapped_column(Whole)
    withdrawn: Mapped[bool] = mapped_column(Flag)
    reason: Mapped[str] = words()
    recorded_by: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
    supersedes_id: Mapped[UUID | None] = supersedes("agreed_round.id")


class AgreedStopRow(Base):
    """One visit of an agreed round."""

    __tablename__ = "agreed_stop"
    checks = (
        sa.CheckConstraint("place >= 1", name="place"),
        sa.CheckConstraint("ends_min >= begins_min", name="ends_min"),
        sa.UniqueConstraint("round_id", "place"),
        sa.UniqueConstraint("round_id", "support_id"),
    )
    id: Mapped[UUID] = own_id()
    round_id: Mapped[UUID] = points_to("agreed_round.id", index=False)
    place: Mapped[int] = mapped_column(Whole)
    support_id: Mapped[UUID] = points_to("support.id")
    begins_min: Mapped[int] = mapped_column(Whole)
    ends_min: Mapped[int] = mapped_column(Whole)
    travel_min: Mapped[int] = mapped_column(Whole)
    is_pinned: Mapped[bool] = mapped_column(Flag)


class TravelTableRow(Base):
    """One version of the user's own table of ways."""

    __tablename__ = "travel_table"
    checks = (
        sa.CheckConstraint("version >= 1", name="version"),
        sa.CheckConstraint("unit IN ('min', 'km')", name="unit"),
    )
    id: Mapped[UUID] = own_id()
    version: Mapped[int] = mapped_column(Whole, unique=True)
    file_name: Mapped[str] = words()
    unit: Mapped[str] = words()
    ways: Mapped[Any] = mapped_column(Document)
    recorded_by: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
