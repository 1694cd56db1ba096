"""Openings traced on photographs: worked out, and kept with the look they belong to."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

import numpy as np

from monitor.clock import new_id
from monitor.domain.inspections import Photo
from monitor.domain.pictures import PhotoMeasure, Point, Sketch
from monitor.errors import InvalidInput
from monitor.exchange.pictures import open_picture
from monitor.photogrammetry.camera import Shot
from monitor.photogrammetry.markers import SheetSeen, find_sheet
from monitor.photogrammetry.measure import METHOD_VERSION, Care, Measured, measure
from monitor.services.recording.checks import Stamp
from monitor.services.recording.commands import ReadingCommand
from monitor.services.recording.ledger_values import values_of
from monitor.store import Session, records
from monitor.store.ledger import append

WOUND = ("wound_width", "wound_height")
OFFSET_STATED_SD = 0.3
"""Share of a stated height of the sheet by which it may be off (no source)."""

LEAST_OFFSET_SD_MM = 2.0
MOST_STROKES, MOST_STROKE_POINTS = 200, 4000


@dataclass(frozen=True, slots=True)
class OutlineCommand:
    """A trace, and how the sheet lay.

    Attributes
    ----------
    member, mark : codes; empty for the only ones that carry a wound
    points : shares of the width and height of the upright photograph
    hand : standard deviation of a traced point, as a share of the longer side
    offset_mm : of the sheet above the wood, None if nobody said
    ruler_mm : length of the printed check line, None if it is true
    reason : why a trace is drawn again
    """

    sha256: str
    points: tuple[Point, ...]
    member: str = ""
    mark: str = ""
    hand: float = 0.001
    offset_mm: float | None = None
    ruler_mm: float | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class OnPhoto:
    """What a trace said."""

    command: OutlineCommand
    seen: SheetSeen
    measured: Measured
    care: Care

    @property
    def words(self) -> str:
        """How it was measured, for the reading."""
        view = self.measured.view
        missing = self.seen.missing
        without = f", without the marker {missing[0]}" if missing else ""
        return (
            f"on the photograph {self.command.sha256[:8]}, {self.seen.sheet.name} "
            f"sheet{without}, {view.tilt_deg:.0f}° off the square"
        )


def measured_on(body: bytes, command: OutlineCommand) -> OnPhoto:
    """Area, width and height of what was traced.

    Raises
    ------
    InvalidInput : the photograph or the trace can not be measured, and why
    """
    picture = open_picture(body)
    height, width = picture.pixels.shape[:2]
    care = care_of(command, max(width, height))
    seen = find_sheet(picture.grey)
    trace = _pixels(command.points, width, height)
    shot = Shot(width, height, picture.facts.focal_35_mm)
    return OnPhoto(command, seen, measure(seen, shot, trace, care), care)


def care_of(command: OutlineCommand, longest_px: int) -> Care:
    """How well the parts are known; what nobody said has a wide default."""
    care = replace(
        Care(),
        trace_sd_px=max(command.hand * longest_px, 0.5),
        ruler_mm=command.ruler_mm,
    )
    if command.offset_mm is None:
        return care
    sd = max(LEAST_OFFSET_SD_MM, OFFSET_STATED_SD * abs(command.offset_mm))
    return replace(care, offset_mm=command.offset_mm, offset_sd_mm=sd)


def readings_of(found: OnPhoto) -> tuple[ReadingCommand, ...]:
    """What is read across and along the grain. [mm]"""
    figures = found.measured.width, found.measured.height
    return tuple(
        ReadingCommand(
            quantity=name,
            text=f"{figure.value:.1f}",
            unit="mm",
            member=found.command.member,
            mark=found.command.mark,
            method="photo",
            why=f"± {figure.sd:.1f} mm, one standard deviation, {found.words}",
            sd=figure.sd,
        )
        for name, figure in zip(WOUND, figures, strict=True)
    )


def keep_measure(
    session: Session,
    found: OnPhoto,
    to: tuple[Photo, UUID],
    stamp: Stamp,
    *,
    code: str,
) -> PhotoMeasure:
    """Write a measure beside its photograph; it takes the place of an earlier one.

    Parameters
    ----------
    to : the photograph, and the mark
    code : of the support
    """
    photo, mark_id = to
    measured = found.measured
    table = records.PHOTO_MEASURES.table.c
    before = records.PHOTO_MEASURES.current(
        session, table.photo_id == photo.id, table.mark_id == mark_id
    )
    kept = PhotoMeasure(
        id=new_id(),
        photo_id=photo.id,
        mark_id=mark_id,
        inspection_id=photo.inspection_id,
        outline=found.command.points,
        area_mm2=measured.area.value,
        area_sd_mm2=measured.area.sd,
        width_mm=measured.width.value,
        width_sd_mm=measured.width.sd,
        height_mm=measured.height.value,
        height_sd_mm=measured.height.sd,
        shares=measured.shares,
        camera=_camera(found),
        care={name: getattr(found.care, name) for name in Care.__dataclass_fields__},
        method_version=METHOD_VERSION,
        recorded_by=stamp.actor,
        recorded_at=stamp.now,
        supersedes_id=before[-1].id if before else None,
        reason=found.command.reason,
    )
    records.PHOTO_MEASURES.add(session, [kept])
    change = "opening measured on a photo", f"support {code}", values_of(kept)
    append(session, [change], actor=stamp.actor, now=stamp.now)
    return kept


def keep_sketch(
    session: Session,
    photo: Photo,
    strokes: Sequence[Sequence[Point]],
    by: tuple[str, datetime],
) -> Sketch:
    """Write strokes over a photograph; they take the place of earlier ones.

    Parameters
    ----------
    by : actor and instant
    """
    table = records.SKETCHES.table.c
    before = records.SKETCHES.current(session, table.photo_id == photo.id)
    actor, now = by
    kept = Sketch(
        new_id(), photo.id, strokes, actor, now, before[-1].id if before else None
    )
    records.SKETCHES.add(session, [kept])
    change = "photo sketched on", f"photo {photo.id}", values_of(kept)
    append(session, [change], actor=actor, now=now)
    return kept


def checked_strokes(strokes: object) -> tuple[tuple[Point, ...], ...]:
    """Strokes as shares of the photograph, none beyond its edges.

    Raises
    ------
    InvalidInput : they are no strokes, or too many
    """
    try:
        found = tuple(
            tuple((float(x), float(y)) for x, y in stroke)
            for stroke in strokes  # type: ignore[attr-defined]
        )
    except (TypeError, ValueError):
        raise _no_strokes("something else") from None
    points = [point for stroke in found for point in stroke]
    if len(found) > MOST_STROKES or len(points) > MOST_STROKE_POINTS:
        raise _no_strokes(f"{len(found)} with {len(points)} points")
    if not all(0 <= x <= 1 and 0 <= y <= 1 for x, y in points):
        raise _no_strokes("points beyond the photograph")
    return tuple(stroke for stroke in found if stroke)


def _no_strokes(found: str) -> InvalidInput:
    return InvalidInput(
        f"The sketch can not be read: found {found}, expected up to {MOST_STROKES} "
        f"strokes with {MOST_STROKE_POINTS} points on the photograph.",
        field="sketch",
        code="pho-025",
    )


def _pixels(points: Sequence[Point], width: int, height: int) -> object:
    """A share of a side counts from the edge, a pixel from its own centre."""
    found = np.asarray(points, dtype=float)
    if found.ndim != 2 or found.shape[1] != 2:
        return points
    return found * (width, height) - 0.5


def _camera(found: OnPhoto) -> dict[str, object]:
    view = found.measured.view
    return {
        "width": view.shot.width,
        "height": view.shot.height,
        "focal_35_mm": view.shot.focal_35_mm,
        "params": view.params.tolist(),
        "corner_sd_px": view.corner_sd_px,
        "sheet": found.seen.sheet.name,
        "markers": list(found.seen.ids),
        "tilt_deg": view.tilt_deg,
        "distance_mm": view.distance_mm,
        "outline_mm": found.measured.outline_mm.tolist(),
    }
