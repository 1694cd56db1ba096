"""Sketches and measures on photographs; what forms from the field leave to decide."""

from datetime import datetime
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from monitor.domain.field_tasks import Settled, TaskKind
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
from monitor.store.types import Document, Id, Number


class SketchRow(Base):
    """Strokes of a pen over a photograph."""

    __tablename__ = "sketch"
    id: Mapped[UUID] = own_id()
    photo_id: Mapped[UUID] = points_to("photo.id")
    strokes: Mapped[Any] = mapped_column(Document)
    recorded_by: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
    supersedes_id: Mapped[UUID | None] = supersedes("sketch.id")


class PhotoMeasureRow(Base):
    """An opening measured on a photograph."""

    __tablename__ = "photo_measure"
    checks = (
        sa.CheckConstraint(
            "area_mm2 >= 0 AND width_mm >= 0 AND height_mm >= 0", name="not_negative"
        ),
    )
    id: Mapped[UUID] = own_id()
    photo_id: Mapped[UUID] = points_to("photo.id")
    mark_id: Mapped[UUID] = points_to("mark.id")
    inspection_id: Mapped[UUID | None] = may_point_to("inspection.id")
    outline: Mapped[Any] = mapped_column(Document)
    area_mm2: Mapped[float] = mapped_column(Number)
    area_sd_mm2: Mapped[float] = mapped_column(Number)
    width_mm: Mapped[float] = mapped_column(Number)
    width_sd_mm: Mapped[float] = mapped_column(Number)
    height_mm: Mapped[float] = mapped_column(Number)
    height_sd_mm: Mapped[float] = mapped_column(Number)
    shares: Mapped[Any] = mapped_column(Document)
    camera: Mapped[Any] = mapped_column(Document)
    care: Mapped[Any] = mapped_column(Document)
    method_version: Mapped[str] = words()
    recorded_by: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
    supersedes_id: Mapped[UUID | None] = supersedes("photo_measure.id")
    reason: Mapped[str] = words()


class FieldTaskRow(Base):
    """Something the office is to decide."""

    __tablename__ = "field_task"
    checks = (only("kind", TaskKind),)
    id: Mapped[UUID] = own_id()
    kind: Mapped[TaskKind] = choice(TaskKind)
    form_id: Mapped[UUID] = mapped_column(Id, index=True)
    support: Mapped[str] = words()
    inspection_id: Mapped[UUID | None] = may_point_to("inspection.id")
    sentence: Mapped[str] = words()
    content: Mapped[Any] = mapped_column(Document)
    recorded_by: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()


class FieldSettlementRow(Base):
    """The decision about it."""

    __tablename__ = "field_settlement"
    checks = (only("how", Settled),)
    task_id: Mapped[UUID] = mapped_column(
        Id, sa.ForeignKey("field_task.id"), primary_key=True
    )
    how: Mapped[Settled] = choice(Settled)
    reason: Mapped[str] = words()
    recorded_by: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
