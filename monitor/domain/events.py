"""Storms and blows that call for extra looks."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from monitor.domain.vocabulary import EventKind


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened to a place.

    Attributes
    ----------
    area : GeoJSON polygon of where it happened; empty means a single support
    magnitude : gust [m/s], depth or other size; None if not known
    ended_on : when the extra looks were closed, None while open
    withdrawn : entered in error; it calls for nothing
    """

    id: UUID
    kind: EventKind
    name: str
    happened_on: date
    area: str
    support_id: UUID | None
    magnitude: float | None
    ended_on: date | None
    note: str
    recorded_at: datetime
    withdrawn: bool = False
