"""Photographs in a paper: copies without place or camera, a few, the rest counted."""

from collections.abc import Sequence

from monitor.errors import MonitorError
from monitor.reports.blocks import Block, Column, Grid, Picture, Pictures, Voice, Words
from monitor.services.papers.moment import Moment
from monitor.services.papers.wording import on
from monitor.services.showing.photos import PhotoView, copy_of, photos_of
from monitor.services.showing.support import SupportView
from monitor.store import Session
from monitor.store.photos import PhotoFiles

AT_MOST = 6
"""Photographs of one support in a paper."""


def photo_blocks(
    session: Session, files: PhotoFiles, view: SupportView, moment: Moment
) -> list[Block]:
    """The newest of each member, measured mark and overview; the rest is counted."""
    known = known_photos(session, view, moment)
    if not known:
        return [Words("No photograph is in the record.", Voice.QUIET)]
    chosen = newest_of_each(known)[:AT_MOST]
    shown, broken = [], 0
    for one in chosen:
        try:
            jpeg = copy_of(session, files, one.photo.id, "small")
        except MonitorError:
            broken += 1
        else:
            shown.append(Picture(jpeg, f"Photograph of {_words(one)}", _words(one)))
    blocks: list[Block] = [Pictures(tuple(shown))] if shown else []
    said = [f"{len(shown)} of {len(known)} photographs, the newest of each part."]
    said += [f"{broken} could not be opened."] if broken else []
    return [*blocks, Words(" ".join(said), Voice.QUIET)]


def photo_list(session: Session, view: SupportView, moment: Moment) -> list[Block]:
    """Every photograph by day, with the hash of its bytes; nothing if there is none."""
    known = known_photos(session, view, moment)
    if not known:
        return []
    rows = tuple(
        (on(one.on), one.member or "whole", one.photo.caption, one.photo.sha256)
        for one in known
    )
    columns = (Column("Day", 1.4), Column("Of", 0.6), Column("Shows", 1.6),
               Column("SHA-256 of the file", 2.4))  # fmt: skip
    return [Grid(f"All {len(rows)} photographs", columns, rows)]


def known_photos(
    session: Session, view: SupportView, moment: Moment
) -> list[PhotoView]:
    """Photographs that had been recorded by then, oldest first."""
    found = photos_of(session, view.support)
    return [one for one in found if one.photo.recorded_at <= moment.at]


def newest_of_each(known: Sequence[PhotoView]) -> list[PhotoView]:
    """The newest of each member and each measured mark, newest first."""
    newest = {}
    for one in known:
        spot = one.measures[-1].mark_id if one.measures else None
        newest[one.member, spot] = one
    return sorted(newest.values(), key=lambda one: one.on, reverse=True)


def _words(one: PhotoView) -> str:
    parts = [on(one.on), one.member, one.photo.caption]
    return ", ".join(part for part in parts if part)
