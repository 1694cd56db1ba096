"""The fleet's shared numbers, night by night."""

from datetime import datetime
from typing import Any

from sqlalchemy.orm import Mapped, mapped_column

from monitor.store.models.base import Base, instant
from monitor.store.types import Document, Whole, Words


class CalibrationRow(Base):
    """One fit of the shared numbers, with the audit of past forecasts."""

    __tablename__ = "calibration"
    version: Mapped[str] = mapped_column(Words, primary_key=True)
    fitted_at: Mapped[datetime] = instant()
    readings: Mapped[int] = mapped_column(Whole)
    numbers: Mapped[Any] = mapped_column(Document)
    audits: Mapped[Any] = mapped_column(Document)
