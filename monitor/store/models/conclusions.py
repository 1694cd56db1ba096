"""Outlooks, dues and the list of series to look at again. All can be recomputed."""

from datetime import date, datetime
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from monitor.domain.vocabulary import InspectionKind, Standing
from monitor.store.models.base import Base, choice, instant, only, points_to, words
from monitor.store.types import Day, Document, Flag, Id, Number, Whole, Words


class OutlookRow(Base):
    """What the analysis says of one series now."""

    __tablename__ = "outlook"
    checks = (
        sa.Index(
            "ix_outlook_doubted",
            "support_id",
            sqlite_where=sa.text("unconfirmed IS 1"),
            postgresql_where=sa.text("unconfirmed IS true"),
        ),
    )
    mark_id: Mapped[UUID] = mapped_column(
        Id, sa.ForeignKey("mark.id"), primary_key=True
    )
    series: Mapped[str] = mapped_column(Words, primary_key=True)
    support_id: Mapped[UUID] = points_to("support.id")
    computed_for: Mapped[date] = mapped_column(Day)
    readings: Mapped[int] = mapped_column(Whole)
    level: Mapped[float | None] = mapped_column(Number)
    level_sd: Mapped[float | None] = mapped_column(Number)
    rate: Mapped[float | None] = mapped_column(Number)
    rate_low: Mapped[float | None] = mapped_column(Number)
    rate_high: Mapped[float | None] = mapped_column(Number)
    evidence: Mapped[float | None] = mapped_column(Number)
    watch_level: Mapped[float | None] = mapped_column(Number)
    act_level: Mapped[float | None] = mapped_column(Number)
    watch_early_on: Mapped[date | None] = mapped_column(Day)
    watch_median_on: Mapped[date | None] = mapped_column(Day)
    watch_late_on: Mapped[date | None] = mapped_column(Day)
    act_early_on: Mapped[date | None] = mapped_column(Day)
    act_median_on: Mapped[date | None] = mapped_column(Day)
    act_late_on: Mapped[date | None] = mapped_column(Day)
    p_beyond_watch: Mapped[float | None] = mapped_column(Number)
    p_beyond_act: Mapped[float | None] = mapped_column(Number)
    expected_on: Mapped[date | None] = mapped_column(Day)
    expected: Mapped[float | None] = mapped_column(Number)
    expected_low: Mapped[float | None] = mapped_column(Number)
    expected_high: Mapped[float | None] = mapped_column(Number)
    unconfirmed: Mapped[bool] = mapped_column(Flag)
    look_again_on: Mapped[date | None] = mapped_column(Day)
    look_rule: Mapped[str] = words()
    refusal: Mapped[str] = words()
    sentence: Mapped[str] = words()
    method_version: Mapped[str] = words()
    input_version: Mapped[str] = words()
    details: Mapped[Any] = mapped_column(Document)
    computed_at: Mapped[datetime] = instant()


class StandingRow(Base):
    """How a support stands, with its reasons."""

    __tablename__ = "standing"
    checks = (only("standing", Standing),)
    support_id: Mapped[UUID] = mapped_column(
        Id, sa.ForeignKey("support.id"), primary_key=True
    )
    standing: Mapped[Standing] = choice(Standing)
    reasons: Mapped[Any] = mapped_column(Document)
    computed_for: Mapped[date] = mapped_column(Day)
    computed_at: Mapped[datetime] = instant()


class DueRow(Base):
    """The inspection that is owed next for a support."""

    __tablename__ = "due"
    checks = (
        only("kind", InspectionKind),
        sa.CheckConstraint("opens_on <= due_on AND due_on <= late_on", name="window"),
    )
    support_id: Mapped[UUID] = mapped_column(
        Id, sa.ForeignKey("support.id"), primary_key=True
    )
    kind: Mapped[InspectionKind] = choice(InspectionKind)
    opens_on: Mapped[date] = mapped_column(Day)
    due_on: Mapped[date] = mapped_column(Day, index=True)
    late_on: Mapped[date] = mapped_column(Day)
    serious_on: Mapped[date] = mapped_column(Day)
    rule: Mapped[str] = words()
    sentence: Mapped[str] = words()
    reasons: Mapped[Any] = mapped_column(Document)
    computed_at: Mapped[datetime] = instant()


class StaleRow(Base):
    """A support whose conclusions are older than its facts."""

    __tablename__ = "stale"
    support_id: Mapped[UUID] = mapped_column(
        Id, sa.ForeignKey("support.id"), primary_key=True
    )
    since: Mapped[datetime] = instant()
