"""Photographs from before that go to the tree: few, small, with what was drawn."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TypeVar
from uuid import UUID

from monitor.domain.inspections import Photo
from monitor.domain.pictures import PhotoMeasure, Point, Sketch
from monitor.services.recording.photos import once_each
from monitor.store import Session
from monitor.store import records as r
from monitor.store.lookup import all_in
from monitor.store.repository import Repository

D = TypeVar("D", Sketch, PhotoMeasure)

NEWEST = 3
"""Photographs of a support that are taken along."""


@dataclass(frozen=True, slots=True)
class FieldPhoto:
    """A photograph as the device stores it; its small copy is fetched by `id`.

    Attributes
    ----------
    said : what was measured on it, in words; empty if nothing was
    outline : the trace, as shares of the sides
    """

    id: UUID
    taken_on: date | None
    caption: str
    member: str
    sketch: Sequence[Sequence[Point]]
    outline: Sequence[Point]
    said: str


def older_photos(
    session: Session, support_ids: Sequence[UUID]
) -> dict[UUID, tuple[FieldPhoto, ...]]:
    """The newest photographs of each support, newest first; sketched ones before."""
    photos = once_each(all_in(session, r.PHOTOS, "support_id", support_ids))
    sketches = {s.photo_id: s for s in _standing(session, r.SKETCHES, photos)}
    measures = {m.photo_id: m for m in _standing(session, r.PHOTO_MEASURES, photos)}
    codes = {
        m.id: m.code for m in all_in(session, r.MEMBERS, "support_id", support_ids)
    }
    kept: dict[UUID, list[Photo]] = defaultdict(list)
    for photo in sorted(photos, key=_newest_first):
        kept[photo.support_id].append(photo)

    def shown(photo: Photo) -> FieldPhoto:
        sketch, measure = sketches.get(photo.id), measures.get(photo.id)
        said = ""
        if measure is not None:
            said = (
                f"{measure.width_mm:.0f} mm wide, {measure.height_mm:.0f} mm high, "
                f"{measure.area_mm2 / 100:.1f} cm² open"
            )
        return FieldPhoto(
            photo.id,
            photo.taken_on,
            photo.caption,
            codes[photo.member_id] if photo.member_id else "",
            sketch.strokes if sketch else (),
            measure.outline if measure else (),
            said,
        )

    found: dict[UUID, tuple[FieldPhoto, ...]] = defaultdict(tuple)
    for support_id, own in kept.items():
        drawn_on = [p for p in own if p.id in sketches or p.id in measures]
        plain = [p for p in own if p not in drawn_on]
        found[support_id] = tuple(shown(p) for p in (drawn_on + plain)[:NEWEST])
    return found


def _newest_first(photo: Photo) -> tuple[int, float]:
    on = photo.taken_on or photo.recorded_at.date()
    return -on.toordinal(), -photo.recorded_at.timestamp()


def _standing(
    session: Session, repository: Repository[D], photos: Sequence[Photo]
) -> list[D]:
    """Newest versions of what was drawn on these photographs."""
    found = all_in(session, repository, "photo_id", [photo.id for photo in photos])
    replaced = {one.supersedes_id for one in found}
    return [one for one in found if one.id not in replaced]
