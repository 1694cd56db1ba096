"""What is drawn on photographs, and what was measured on them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

Point = tuple[float, float]
"""Shares of the width and height of the upright photograph, from its upper left."""


@dataclass(frozen=True, slots=True)
class Sketch:
    """Strokes of a pen over a photograph; a later one supersedes it."""

    id: UUID
    photo_id: UUID
    strokes: Sequence[Sequence[Point]]
    recorded_by: str
    recorded_at: datetime
    supersedes_id: UUID | None


@dataclass(frozen=True, slots=True)
class PhotoMeasure:
    """An opening measured on a photograph; a better trace supersedes it.

    Attributes
    ----------
    inspection_id : root of the look it belongs to, None if it was measured without one
    outline : the trace
    area_mm2, width_mm, height_mm : with one standard deviation each
    shares : of the area's variance, by source of doubt
    camera : what lays the photograph flat: size, parameters, sheet, markers seen
    care : how the sheet lay and the hand traced, as stated
    method_version : of the way it was computed
    reason : why a trace was drawn again
    """

    id: UUID
    photo_id: UUID
    mark_id: UUID
    inspection_id: UUID | None
    outline: Sequence[Point]
    area_mm2: float
    area_sd_mm2: float
    width_mm: float
    width_sd_mm: float
    height_mm: float
    height_sd_mm: float
    shares: Mapping[str, float]
    camera: Mapping[str, object]
    care: Mapping[str, float | None]
    method_version: str
    recorded_by: str
    recorded_at: datetime
    supersedes_id: UUID | None
    reason: str
