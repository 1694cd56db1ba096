"""Recording an inspection: checked whole, written once, with its ledger entry."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from monitor.domain.inspections import Inspection, Segment
from monitor.domain.supports import Mark
from monitor.domain.vocabulary import InspectionKind
from monitor.errors import Conflict
from monitor.services.drafting.draft import Draft
from monitor.services.drafting.inspection import draft_inspection, enter
from monitor.services.drafting.visit import is_named_by, same_inspections
from monitor.services.recording.checks import (
    Doubt,
    Stamp,
    ask,
    plain,
    refuse,
    spoken,
    word,
)
from monitor.services.recording.commands import InspectionCommand
from monitor.services.recording.dossier import Dossier, dossier_of
from monitor.services.recording.ledger_values import values_of, values_of_all
from monitor.store import Session, records
from monitor.store.ledger import append
from monitor.store.stale import mark_stale


def record_inspection(
    session: Session, command: InspectionCommand, *, actor: str, now: datetime
) -> Inspection:
    """Record one inspection with its readings and findings.

    The same inspection sent again under its own id changes nothing.

    Raises
    ------
    NotFound : no such support, naming the nearest codes
    InvalidInput : naming everything that is wrong, or asking what is doubtful;
        a question is answered by putting its key into `command.sure`
    Conflict : the record already holds this inspection, or the id with other content
    """
    stamp = Stamp(actor, now)
    dossier = dossier_of(session, command.support)
    sent_before = _sent_before(session, dossier, command, stamp)
    if sent_before:
        return sent_before
    _refuse_repeated(dossier, command)
    draft = draft_inspection(dossier, command, stamp)
    name = f"The inspection of {dossier.support.code}"
    refuse(name, draft.problems)
    ask(name, draft.doubts, command.sure)
    write(session, [Entry(dossier, draft, *enter(dossier, draft))], stamp)
    return draft.inspection


def review_inspection(
    session: Session, command: InspectionCommand, *, now: datetime
) -> tuple[Doubt, ...]:
    """The questions an inspection raises, before it is recorded.

    Raises
    ------
    NotFound, InvalidInput, Conflict : as `record_inspection`
    """
    dossier = dossier_of(session, command.support)
    _refuse_repeated(dossier, command)
    draft = draft_inspection(dossier, command, Stamp("", now))
    refuse(f"The inspection of {dossier.support.code}", draft.problems)
    return tuple(doubt for doubt in draft.doubts if doubt.key not in command.sure)


@dataclass(frozen=True, slots=True)
class Entry:
    """A draft ready to be written, with the marks and segments it brings."""

    dossier: Dossier
    draft: Draft
    marks: Sequence[Mark]
    segments: Sequence[Segment]


def write(session: Session, entries: Iterable[Entry], stamp: Stamp) -> None:
    """Write drafts in one go: rows, one ledger entry each, and the stale marks."""
    wanted = [entry for entry in entries if entry.draft.changes_record]
    drafts = [entry.draft for entry in wanted]
    records.INSTRUMENTS.add(session, [i for d in drafts for i in d.instruments])
    records.MARKS.add(session, [mark for entry in wanted for mark in entry.marks])
    records.INSPECTIONS.add(session, [d.inspection for d in drafts if d.is_new])
    records.READINGS.add(
        session, [reading for d in drafts for _, reading in d.readings.values()]
    )
    records.FINDINGS.add(session, [f for d in drafts for f in d.findings.values()])
    records.SEGMENTS.add(session, [s for entry in wanted for s in entry.segments])
    changes = [_change(entry) for entry in wanted]
    append(session, changes, actor=stamp.actor, now=stamp.now)
    touched = {entry.dossier.support.id for entry in wanted}
    mark_stale(session, touched, stamp.now)


def _change(entry: Entry) -> tuple[str, str, object]:
    draft = entry.draft
    payload = {
        "inspection": values_of(draft.inspection),
        "readings": values_of_all(reading for _, reading in draft.readings.values()),
        "findings": values_of_all(draft.findings.values()),
        "marks": values_of_all(entry.marks),
        "segments": values_of_all(entry.segments),
    }
    action = "inspection recorded" if draft.is_new else "inspection added to"
    return action, f"support {entry.dossier.support.code}", payload


def _refuse_repeated(dossier: Dossier, command: InspectionCommand) -> None:
    same = [
        inspection
        for inspection in same_inspections(dossier, command)
        if not inspection.withdrawn and is_named_by(inspection, command)
    ]
    if same:
        raise Conflict(
            f"{dossier.support.code} already has an inspection of "
            f"{spoken(command.inspected_on)} by {command.inspector} "
            f"({same[0].kind.value}). Amend that one with a reason; a second look on "
            "the same day has another kind."
        )


def _sent_before(
    session: Session, dossier: Dossier, command: InspectionCommand, stamp: Stamp
) -> Inspection | None:
    """The inspection already recorded under this id, if it says the same."""
    if command.id is None:
        return None
    stored = records.INSPECTIONS.find(session, id=command.id)
    if stored is None:
        return None
    if _says_same(dossier, stored, command, stamp):
        return stored
    raise Conflict(
        f"An inspection with the id {command.id} is in the record with other content "
        f"({spoken(stored.inspected_on)}, {stored.inspector}). Amend it with a reason."
    )


def _says_same(
    dossier: Dossier, stored: Inspection, command: InspectionCommand, stamp: Stamp
) -> bool:
    kind = word(InspectionKind, command.kind) or stored.kind
    sent = command.inspected_on, plain(command.inspector), dossier.support.id, kind
    head = stored.inspected_on, plain(stored.inspector), stored.support_id, stored.kind
    if sent != head:
        return False

    def here(key: tuple[object, ...]) -> bool:
        return key[0] == stored.root_id

    draft = draft_inspection(dossier, command, stamp, into=stored)
    read = [v[0].recorded_at for k, v in dossier.readings.items() if here(k)]
    seen = [v[0].recorded_at for k, v in dossier.findings.items() if here(k)]
    first = [at for at in (*read, *seen) if at == stored.recorded_at]
    return not draft.problems and len(draft.known) == len(first)
