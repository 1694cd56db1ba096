"""Taking in a form from the field: exactly once, and with a question where in doubt."""

from dataclasses import replace
from datetime import datetime

from monitor.domain.field_tasks import TaskKind
from monitor.domain.inspections import Inspection
from monitor.errors import NotFound
from monitor.services.assessing.assess import assess
from monitor.services.field.answers import (
    Answer,
    Choice,
    MissingPhotos,
    Question,
    Receipt,
    keep_receipt,
    note_other_content,
    receipt_of,
)
from monitor.services.field.form import Submission, clock_off, length
from monitor.services.field.outlines import keep_drawn
from monitor.services.field.questions import decided_in, question_of
from monitor.services.field.tasks import Cause, raise_task
from monitor.services.recording.checks import Stamp, spoken
from monitor.services.recording.dossier import Dossier, dossier_of
from monitor.services.recording.photos import Subject, attach, missing
from monitor.services.recording.record import record_inspection
from monitor.store import Session, records
from monitor.store.ledger import append
from monitor.store.photos import PhotoFiles


def submit(
    session: Session, submission: Submission, files: PhotoFiles, stamp: Stamp
) -> Answer:
    """Record the inspection, or say what stands in the way.

    The same bytes under the same id get the same receipt, however often they come.

    Raises
    ------
    Conflict : another request is recording the same form at this moment
    """
    known = _known(session, submission, stamp)
    if known:
        return known
    absent = missing(files, submission.photos)
    if absent:
        return MissingPhotos(absent)
    try:
        dossier = dossier_of(session, submission.command.support)
    except NotFound as error:
        return Question("support", error.message)
    question = question_of(session, dossier, submission, stamp)
    if question:
        return question
    made = record_inspection(
        session, submission.command, actor=stamp.actor, now=stamp.now
    )
    return _received(session, dossier, submission, made, (files, stamp))


def set_aside(
    session: Session, submission: Submission, files: PhotoFiles, stamp: Stamp
) -> Answer:
    """Leave a form with the office as it is: in the history, not as an inspection."""
    known = _known(session, submission, stamp)
    if known:
        return known
    absent = missing(files, submission.photos)
    if absent:
        return MissingPhotos(absent)
    code = submission.command.support
    change = "field form set aside", f"support {code}", submission.content
    append(session, [change], actor=stamp.actor, now=stamp.now)
    _ask_office(session, submission, stamp)
    try:
        dossier = dossier_of(session, code)
        _attach(session, dossier, submission, None, (files, stamp))
    except NotFound:
        pass  # the files stay, and the history names them
    sentence = f"Left with the office: {code}. It is no inspection and moves no date."
    receipt = _receipt(submission, stamp, sentence, is_inspection=False)
    keep_receipt(session, receipt, stamp)
    return receipt


def assess_received(session: Session, receipt: Receipt, *, now: datetime) -> None:
    """See at once what new readings mean, so that dates move while people look.

    A receipt given again needs nothing: the nightly run looks at what is left over.
    """
    support = records.SUPPORTS.find(session, code=receipt.support)
    is_new = receipt.is_inspection and receipt.recorded_at == now.isoformat()
    if support is not None and is_new:
        assess(session, [support.id], now=now)


def _known(
    session: Session, submission: Submission, stamp: Stamp
) -> Receipt | Question | None:
    receipt = receipt_of(session, submission.id)
    if receipt is None or receipt.body_sha256 == submission.body_sha256:
        return receipt
    note_other_content(session, submission.id, submission.body_sha256, stamp)
    return Question(
        "content",
        f"The record holds this look at {receipt.support} already, as it was sent "
        f"first. What changed on the phone since was not taken.",
        (Choice("Keep what is recorded", {"recorded": receipt.body_sha256}),),
    )


def _received(
    session: Session,
    dossier: Dossier,
    submission: Submission,
    made: Inspection,
    to: tuple[PhotoFiles, Stamp],
) -> Receipt:
    stamp = to[1]
    _attach(session, dossier, submission, made, to)
    off = clock_off(submission, stamp.now)
    if off:
        payload = {"inspection": str(made.id), "ahead_s": round(off.total_seconds())}
        change = "device clock was wrong", f"support {dossier.support.code}", payload
        append(session, [change], actor=stamp.actor, now=stamp.now)
    for cause in decided_in(dossier, submission, stamp):
        of = submission.id, dossier.support.code, made.root_id
        raise_task(session, cause, of, stamp)
    sentence = f"Recorded: {dossier.support.code}, {spoken(made.inspected_on)}."
    if off:
        sentence += f" The phone's clock is wrong by {length(off)}; please set it."
    sentence += _on_photos(submission)
    receipt = _receipt(submission, stamp, sentence, is_inspection=True)
    receipt = replace(
        receipt,
        support=dossier.support.code,
        clock_off_s=round(off.total_seconds()),
    )
    keep_receipt(session, receipt, stamp)
    return receipt


def _receipt(
    submission: Submission, stamp: Stamp, sentence: str, *, is_inspection: bool
) -> Receipt:
    return Receipt(
        id=str(submission.id),
        body_sha256=submission.body_sha256,
        support=submission.command.support,
        is_inspection=is_inspection,
        recorded_at=stamp.now.isoformat(),
        sentence=sentence,
    )


def _attach(
    session: Session,
    dossier: Dossier,
    submission: Submission,
    made: Inspection | None,
    to: tuple[PhotoFiles, Stamp],
) -> None:
    files, stamp = to
    subject = Subject(
        dossier.support.code,
        dossier.support.id,
        made.root_id if made else None,
        {code: member.id for code, member in dossier.members.items()},
    )
    by = stamp.actor, stamp.now
    photos = attach(session, files, submission.photos, subject, by=by)
    keep_drawn(session, dossier, submission, photos, (made, stamp))


def _on_photos(submission: Submission) -> str:
    """What the traces said, for the person who drew them."""
    said = [
        f" On the photograph: {found.measured.area.value / 100:.1f} cm² "
        f"(± {found.measured.area.sd / 100:.1f}), {found.measured.width.value:.0f} mm "
        f"wide, {found.measured.height.value:.0f} mm high."
        for found in submission.on_photos
    ]
    said += [
        f" A photograph was not measured: {w}" for w in submission.refusals.values()
    ]
    return "".join(said)


def _ask_office(session: Session, submission: Submission, stamp: Stamp) -> None:
    command = submission.command
    sentence = (
        f"A look at {command.support} of {spoken(command.inspected_on)} was left with "
        "the office as it is."
    )
    cause = Cause(TaskKind.SET_ASIDE, sentence, submission.content)
    raise_task(session, cause, (submission.id, command.support, None), stamp)
