"""What loggers sent."""

from datetime import datetime
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from monitor.store.models.base import Base, instant, own_id, points_to, words
from monitor.store.types import Document, Id, Whole


class LoggerBatchRow(Base):
    """The values of one mark and quantity out of one sending."""

    __tablename__ = "logger_batch"
    checks = (
        sa.CheckConstraint("count >= 1", name="count"),
        sa.CheckConstraint("last_at >= first_at", name="last_at"),
    )
    id: Mapped[UUID] = own_id()
    sending: Mapped[UUID] = mapped_column(Id, index=True)
    mark_id: Mapped[UUID] = points_to("mark.id")
    quantity: Mapped[str] = words()
    first_at: Mapped[datetime] = instant()
    last_at: Mapped[datetime] = instant()
    count: Mapped[int] = mapped_column(Whole)
    content: Mapped[Any] = mapped_column(Document)
    recorded_by: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
