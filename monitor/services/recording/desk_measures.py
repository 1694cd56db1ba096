"""Measuring on a photograph at the desk: looked at first, then kept with its look."""

from dataclasses import replace
from uuid import UUID

from monitor.domain.inspections import Photo
from monitor.errors import Conflict, InvalidInput
from monitor.services.drafting.inspection import draft_inspection, enter
from monitor.services.recording.checks import Stamp, plain, refuse, spoken
from monitor.services.recording.commands import InspectionCommand, ReadingCommand
from monitor.services.recording.dossier import Dossier, dossier_of
from monitor.services.recording.photo_measures import (
    OnPhoto,
    OutlineCommand,
    keep_measure,
    measured_on,
    readings_of,
)
from monitor.services.recording.record import Entry, write
from monitor.store import Session, Store, records
from monitor.store.photos import PhotoFiles


def ask_measure(files: PhotoFiles, command: OutlineCommand) -> str:
    """What the trace says, in words; nothing is written.

    Raises
    ------
    InvalidInput : it can not be measured, and why
    """
    return _words(measured_on(files.read(command.sha256), command))


def keep_on_desk(
    store: Store,
    files: PhotoFiles,
    wanted: tuple[UUID, OutlineCommand],
    stamp: Stamp,
) -> str:
    """Measure, and keep it beside the photograph and as readings of its look.

    A photograph of no look keeps its measure alone.

    Raises
    ------
    InvalidInput : it can not be measured, or a trace drawn again has no reason
    Conflict : the mark is not on that support
    """
    key, command = wanted
    found = measured_on(files.read(command.sha256), command)
    with store.write_session() as session:
        photo = records.PHOTOS.get(session, key)
        code = records.SUPPORTS.get(session, photo.support_id).code
        dossier = dossier_of(session, code)
        mark_id = _mark(dossier, command)
        again = _is_again(session, photo, mark_id, command)
        keep_measure(session, found, (photo, mark_id), stamp, code=code)
        to = photo, mark_id
        taken = "" if again else _as_readings(session, dossier, to, found, stamp)
    return f"{_words(found)} Kept with the photograph{taken}."


def _words(found: OnPhoto) -> str:
    area, width = found.measured.area, found.measured.width
    height = found.measured.height
    return (
        f"{area.value / 100:.1f} cm² ({area.low / 100:.1f} to {area.high / 100:.1f}), "
        f"{width.value:.1f} mm wide ({width.low:.1f} to {width.high:.1f}), "
        f"{height.value:.1f} mm high ({height.low:.1f} to {height.high:.1f}); 95 % "
        f"ranges, {found.words}."
    )


def _mark(dossier: Dossier, command: OutlineCommand) -> UUID:
    member = dossier.members.get(plain(command.member))
    mark = dossier.marks.get((member.id, plain(command.mark))) if member else None
    if mark is None:
        raise Conflict(
            f"{dossier.support.code} has no mark {command.member}, {command.mark}."
        )
    return mark.id


def _is_again(
    session: Session, photo: Photo, mark_id: UUID, command: OutlineCommand
) -> bool:
    table = records.PHOTO_MEASURES.table.c
    before = records.PHOTO_MEASURES.current(
        session, table.photo_id == photo.id, table.mark_id == mark_id
    )
    if before and not command.reason:
        raise InvalidInput(
            "This opening was measured on this photograph before. Say why it is traced "
            "again; the readings are corrected on their own, with “amend”.",
            field="reason",
        )
    return bool(before)


def _as_readings(
    session: Session,
    dossier: Dossier,
    to: tuple[Photo, UUID],
    found: OnPhoto,
    stamp: Stamp,
) -> str:
    """Beside what was read there on that day already, as repeats."""
    photo, mark_id = to
    root = photo.inspection_id
    visit = dossier.inspections.get(root) if root else None
    if visit is None or visit.withdrawn:
        return "; it belongs to no look, so no reading was made"
    command = InspectionCommand(
        support=dossier.support.code,
        inspected_on=visit.inspected_on,
        inspector=visit.inspector,
        readings=tuple(
            replace(one, repeat=_next_repeat(dossier, visit.root_id, mark_id, one))
            for one in readings_of(found)
        ),
        kind=visit.kind.value,
        source="photo",
    )
    draft = draft_inspection(dossier, command, stamp, into=visit)
    refuse(f"The measure of {dossier.support.code}", draft.problems)
    write(session, [Entry(dossier, draft, *enter(dossier, draft))], stamp)
    return f" and as readings of the look of {spoken(visit.inspected_on)}"


def _next_repeat(
    dossier: Dossier, root: UUID, mark_id: UUID, reading: ReadingCommand
) -> int:
    here = (root, mark_id, reading.quantity)
    return 1 + max((key[3] for key in dossier.readings if key[:3] == here), default=0)
