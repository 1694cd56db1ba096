"""Photographs of a support in time order, and copies of them to look at."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

from monitor.domain.inspections import Inspection, Photo
from monitor.domain.pictures import PhotoMeasure, Sketch
from monitor.domain.supports import Mark, Member, Support
from monitor.errors import NotFound
from monitor.exchange.pictures import (
    Facts,
    as_jpeg,
    camera_doubt,
    facts_of,
    open_picture,
    small_copy,
)
from monitor.photogrammetry.camera import Shot
from monitor.photogrammetry.flatten import Patch, flattened
from monitor.photogrammetry.marker_sheet import SHEETS
from monitor.services.recording.photos import once_each
from monitor.store import Session
from monitor.store import records as r
from monitor.store.photos import PhotoFiles

SIZES = {"small": 480, "large": 1600}
"""Longer side of the copies that are shown. [px]"""

FLAT_PX_MM = 4.0
FLAT_MARGIN_MM = 25.0


@dataclass(frozen=True, slots=True)
class PhotoView:
    """A photograph with what belongs to it.

    Attributes
    ----------
    on : day it is of: said with it, else of its look, else of its arrival
    measures : what stands of what was measured on it
    """

    photo: Photo
    on: date
    member: str
    visit: Inspection | None
    sketch: Sketch | None
    measures: tuple[PhotoMeasure, ...]


@dataclass(frozen=True, slots=True)
class Wound:
    """A mark on a member where an opening can be measured."""

    member: Member
    mark: Mark


def photos_of(session: Session, found: Support) -> tuple[PhotoView, ...]:
    """All photographs of a support, oldest first."""
    photos = r.PHOTOS.all(session, r.PHOTOS.table.c.support_id == found.id)
    views = _views(session, found, once_each(photos))
    return tuple(sorted(views, key=lambda view: (view.on, view.photo.recorded_at)))


def photo_view(session: Session, key: UUID) -> tuple[Support, PhotoView]:
    """One photograph and its support.

    Raises
    ------
    NotFound : it is not in the record
    """
    photo = r.PHOTOS.get(session, key)
    support = r.SUPPORTS.get(session, photo.support_id)
    (view,) = _views(session, support, [photo])
    return support, view


def wounds_of(session: Session, found: Support) -> tuple[Wound, ...]:
    """Marks of a support that can carry an opening, with their members."""
    members = r.MEMBERS.all(session, r.MEMBERS.table.c.support_id == found.id)
    by_id = {member.id: member for member in members}
    marks = r.MARKS.all(session, r.MARKS.table.c.member_id.in_(by_id))
    kept = [mark for mark in marks if mark.code.casefold().startswith("wound")]
    return tuple(Wound(by_id[mark.member_id], mark) for mark in kept)


def measured_before(
    session: Session, mark_id: UUID
) -> tuple[tuple[PhotoMeasure, date], ...]:
    """What stands of the openings measured at a mark, oldest first, with their days."""
    table = r.PHOTO_MEASURES.table.c
    measures = r.PHOTO_MEASURES.current(session, table.mark_id == mark_id)
    views = {one.photo_id: photo_view(session, one.photo_id)[1] for one in measures}
    shown = {photo.id for photo in once_each(view.photo for view in views.values())}
    dated = [(one, views[one.photo_id].on) for one in measures if one.photo_id in shown]
    return tuple(sorted(dated, key=lambda pair: pair[1]))


def facts_and_doubt(files: PhotoFiles, view: PhotoView) -> tuple[Facts, str]:
    """What the photograph says of itself, and where its camera's clock is wrong.

    Raises
    ------
    InvalidInput : it can not be opened
    """
    facts = facts_of(files.read(view.photo.sha256))
    looked_on = view.visit.inspected_on if view.visit else view.photo.taken_on
    return facts, camera_doubt(facts.camera_on, looked_on)


def copy_of(session: Session, files: PhotoFiles, key: UUID, size: str) -> bytes:
    """A smaller copy without place, camera or other words of the original.

    Raises
    ------
    NotFound : no such photograph or size
    InvalidInput : it can not be opened
    """
    photo = r.PHOTOS.get(session, key)
    if size not in SIZES:
        raise NotFound("size of photograph", size)
    kept = files.copy(photo.sha256, size)
    if kept is None:
        kept = small_copy(files.read(photo.sha256), longest_px=SIZES[size])
        files.keep_copy(photo.sha256, size, kept)
    return kept


def original_of(session: Session, files: PhotoFiles, key: UUID) -> tuple[bytes, str]:
    """The bytes as they came, and their media type.

    Raises
    ------
    NotFound : it is not in the record
    """
    photo = r.PHOTOS.get(session, key)
    return files.read(photo.sha256), photo.media_type


def measure_of(session: Session, key: UUID) -> PhotoMeasure:
    """One measure.

    Raises
    ------
    NotFound : it is not in the record
    """
    return r.PHOTO_MEASURES.get(session, key)


def patch_of(measure: PhotoMeasure) -> Patch:
    """The part of the plane around the opening."""
    outline = _on_sheet(measure)
    low, high = outline.min(axis=0), outline.max(axis=0)
    left, top = (float(edge) for edge in low - FLAT_MARGIN_MM)
    right, bottom = (float(edge) for edge in high + FLAT_MARGIN_MM)
    return Patch(left, top, right, bottom, FLAT_PX_MM)


def around(measure: PhotoMeasure, half: tuple[float, float], *, shift: bool) -> Patch:
    """A patch of a given half width and height. [mm]

    Parameters
    ----------
    shift : whether its middle is that of the opening, or that of the sheet's paper
    """
    outline = _on_sheet(measure)
    middle = (outline.min(axis=0) + outline.max(axis=0)) / 2
    if not shift:
        sheet = next(s for s in SHEETS if s.name == measure.camera["sheet"])
        middle = np.array([sheet.width, sheet.height]) / 2
    (left, top), (right, bottom) = middle - half, middle + half
    return Patch(left, top, right, bottom, FLAT_PX_MM)


def half_of(measures: Sequence[PhotoMeasure]) -> tuple[float, float]:
    """Half the width and height that show all of these openings. [mm]"""
    spans = np.array([np.ptp(_on_sheet(one), axis=0) for one in measures])
    across, down = spans.max(axis=0) / 2 + FLAT_MARGIN_MM
    return float(across), float(down)


def flat_picture(
    session: Session, files: PhotoFiles, key: UUID, patch: Patch | None = None
) -> bytes:
    """The opening as seen from straight in front, to scale.

    Raises
    ------
    NotFound : no such measure
    InvalidInput : its photograph can not be opened
    """
    measure = r.PHOTO_MEASURES.get(session, key)
    photo = r.PHOTOS.get(session, measure.photo_id)
    camera = measure.camera
    width, height = int(str(camera["width"])), int(str(camera["height"]))
    picture = open_picture(files.read(photo.sha256), longest_px=max(width, height))
    params = np.array(camera["params"], dtype=float)
    shot = Shot(width, height)
    flat = flattened(picture.pixels, params, shot, patch or patch_of(measure))
    return as_jpeg(flat, quality=85)


def _on_sheet(measure: PhotoMeasure) -> NDArray[np.float64]:
    return np.array(measure.camera["outline_mm"], dtype=float)


def _views(session: Session, found: Support, photos: list[Photo]) -> list[PhotoView]:
    ids = [photo.id for photo in photos]
    sketches = r.SKETCHES.current(session, r.SKETCHES.table.c.photo_id.in_(ids))
    measures = r.PHOTO_MEASURES.current(
        session, r.PHOTO_MEASURES.table.c.photo_id.in_(ids)
    )
    visits = r.INSPECTIONS.current(
        session, r.INSPECTIONS.table.c.support_id == found.id
    )
    members = r.MEMBERS.all(session, r.MEMBERS.table.c.support_id == found.id)
    by_root = {visit.root_id: visit for visit in visits}
    codes = {member.id: member.code for member in members}
    drawn = {sketch.photo_id: sketch for sketch in sketches}
    return [
        PhotoView(
            photo,
            _day_of(photo, visit := _visit_of(photo, by_root)),
            codes[photo.member_id] if photo.member_id else "",
            visit,
            drawn.get(photo.id),
            tuple(one for one in measures if one.photo_id == photo.id),
        )
        for photo in photos
    ]


def _visit_of(photo: Photo, by_root: dict[UUID, Inspection]) -> Inspection | None:
    return by_root.get(photo.inspection_id) if photo.inspection_id else None


def _day_of(photo: Photo, visit: Inspection | None) -> date:
    if photo.taken_on is not None:
        return photo.taken_on
    return visit.inspected_on if visit else photo.recorded_at.date()
