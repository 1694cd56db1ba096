"""Openings traced in the field: worked out by the server, and written with the look."""

from collections.abc import Iterable
from dataclasses import replace
from uuid import UUID

from monitor.domain.field_tasks import TaskKind
from monitor.domain.inspections import Inspection, Photo
from monitor.errors import InvalidInput
from monitor.services.field.form import Submission
from monitor.services.field.tasks import Cause, raise_task
from monitor.services.recording.checks import Stamp, plain
from monitor.services.recording.commands import InspectionCommand
from monitor.services.recording.dossier import Dossier
from monitor.services.recording.photo_measures import (
    OnPhoto,
    OutlineCommand,
    keep_measure,
    keep_sketch,
    measured_on,
    readings_of,
)
from monitor.store import Session
from monitor.store.photos import PhotoFiles


def with_measures(submission: Submission, files: PhotoFiles) -> Submission:
    """The form with what its traces say; done before the record is locked.

    A photograph that has not arrived is left for the next try. Where one can not be
    measured, the look is taken all the same and the office is told why.
    """
    found, refused = [], {}
    for outline in submission.outlines:
        if not files.holds(outline.sha256):
            continue
        try:
            found.append(measured_on(files.read(outline.sha256), outline))
        except InvalidInput as error:
            refused[outline.sha256] = error.message
    command = _with_readings(submission.command, found)
    return replace(
        submission, command=command, on_photos=tuple(found), refusals=refused
    )


def keep_drawn(
    session: Session,
    dossier: Dossier,
    submission: Submission,
    photos: Iterable[Photo],
    to: tuple[Inspection | None, Stamp],
) -> None:
    """Write sketches and measures beside their photographs.

    Parameters
    ----------
    to : the look they belong to, and who sent them when
    """
    made, stamp = to
    by_hash = {photo.sha256: photo for photo in photos}
    for sha256, strokes in submission.sketches.items():
        if sha256 in by_hash:
            keep_sketch(session, by_hash[sha256], strokes, (stamp.actor, stamp.now))
    for found in submission.on_photos:
        photo = by_hash.get(found.command.sha256)
        mark = mark_of(dossier, found.command)
        if photo is not None and mark is not None:
            code = dossier.support.code
            keep_measure(session, found, (photo, mark), stamp, code=code)
    for sha256, why in submission.refusals.items():
        _tell_office(session, dossier, submission, (sha256, why, made), stamp)


def mark_of(dossier: Dossier, outline: OutlineCommand) -> UUID | None:
    """The mark of an opening, if the support has it."""
    member = dossier.members.get(plain(outline.member))
    if member is None:
        return None
    found = dossier.marks.get((member.id, plain(outline.mark)))
    return found.id if found else None


def _with_readings(
    command: InspectionCommand, found: Iterable[OnPhoto]
) -> InspectionCommand:
    """Width and height as readings, unless the person typed them at that mark."""
    typed = {
        (plain(one.member), plain(one.mark), one.quantity)
        for one in command.readings
        if one.text or one.answer
    }
    new = [
        reading
        for one in found
        for reading in readings_of(one)
        if (plain(reading.member), plain(reading.mark), reading.quantity) not in typed
    ]
    return replace(command, readings=(*command.readings, *new))


def _tell_office(
    session: Session,
    dossier: Dossier,
    submission: Submission,
    refusal: tuple[str, str, Inspection | None],
    stamp: Stamp,
) -> None:
    sha256, why, made = refusal
    sentence = (
        f"{dossier.support.code}: the opening traced on photograph {sha256[:8]} could "
        f"not be measured. {why}"
    )
    cause = Cause(TaskKind.PHOTO, sentence, {"sha256": sha256})
    root = made.root_id if made else None
    raise_task(session, cause, (submission.id, dossier.support.code, root), stamp)
