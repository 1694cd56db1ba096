"""Corrections and withdrawals, each with its reason.

The original stays as it was recorded; a newer entry stands in its place, so that the
record can still be read as it was known on any day.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from monitor.clock import new_id
from monitor.domain.inspections import Inspection, Reading
from monitor.errors import Conflict, InvalidInput, NotFound
from monitor.services.drafting.correction import CorrectionDraft, draft_correction
from monitor.services.drafting.visit import visit_of
from monitor.services.recording.checks import (
    Problem,
    Stamp,
    plain,
    refuse,
    spoken,
    too_long,
)
from monitor.services.recording.commands import (
    InspectionAmendment,
    InspectionCommand,
    ReadingCorrection,
)
from monitor.services.recording.dossier import Dossier, dossier_of
from monitor.services.recording.ledger_values import values_of
from monitor.store import Session, records
from monitor.store.ledger import append
from monitor.store.stale import mark_stale


def correct_reading(
    session: Session, command: ReadingCorrection, *, actor: str, now: datetime
) -> Reading:
    """Put another value in the place of a reading, or withdraw it.

    Raises
    ------
    NotFound : no such support, naming the nearest codes
    InvalidInput : naming what is wrong, or which days were read; nothing is written
    """
    stamp = Stamp(actor, now)
    dossier = dossier_of(session, command.support)
    draft = draft_correction(dossier, command, stamp)
    refuse(f"The correction of {dossier.support.code}", draft.problems)
    if draft.is_known or draft.reading is None:
        raise Conflict("The record holds this correction already.")
    write_corrections(session, [(dossier, draft)], stamp)
    return draft.reading


def write_corrections(
    session: Session, drafts: Iterable[tuple[Dossier, CorrectionDraft]], stamp: Stamp
) -> None:
    """Write drafts in one go: rows, one ledger entry each, and the stale marks."""
    wanted = [(dossier, draft) for dossier, draft in drafts if draft.reading]
    records.READINGS.add(session, [d.reading for _, d in wanted if d.reading])
    changes = [
        (
            "reading corrected",
            f"support {dossier.support.code}",
            {"reading": values_of(draft.reading), "was": values_of(draft.was)},
        )
        for dossier, draft in wanted
    ]
    append(session, changes, actor=stamp.actor, now=stamp.now)
    mark_stale(session, {dossier.support.id for dossier, _ in wanted}, stamp.now)


def amend_inspection(
    session: Session, command: InspectionAmendment, *, actor: str, now: datetime
) -> Inspection:
    """Say something else of an inspection; its readings move with it.

    Raises
    ------
    NotFound, InvalidInput : naming what is missing or wrong; nothing is written
    Conflict : there is another inspection of that day, person and kind
    """
    stamp = Stamp(actor, now)
    dossier = dossier_of(session, command.support)
    was = _inspection(dossier, command)
    better = _amended(dossier, was, command, stamp)
    _refuse_collision(dossier, better)
    _write_inspection(session, dossier, was, better)
    return better


def withdraw_inspection(
    session: Session, command: InspectionAmendment, *, actor: str, now: datetime
) -> Inspection:
    """Say that an inspection never happened; it stays readable, with the reason.

    Raises
    ------
    NotFound, InvalidInput : naming what is missing or wrong; nothing is written
    """
    dossier = dossier_of(session, command.support)
    was = _inspection(dossier, command)
    entry = _heir(was, command.reason, Stamp(actor, now))
    entry = replace(entry, withdrawn=True)
    _write_inspection(session, dossier, was, entry)
    return entry


def require_reason(reason: str) -> None:
    """Refuse an amendment that does not say why."""
    if not reason.strip():
        raise InvalidInput("Say why; the reason is kept with it.", field="reason")
    refuse("The change", too_long("reason", reason))


def _inspection(dossier: Dossier, command: InspectionAmendment) -> Inspection:
    """The one inspection that is meant."""
    require_reason(command.reason)
    code = dossier.support.code
    that_day = [dossier.inspections[r] for r in dossier.by_day.get(command.on, ())]
    found = [
        i
        for i in that_day
        if not i.withdrawn
        and i.inspected_on == command.on
        and (not command.inspector or plain(i.inspector) == plain(command.inspector))
        and (not command.kind or plain(i.kind.value) == plain(command.kind))
    ]
    if not found:
        days = sorted(
            {i.inspected_on for i in dossier.inspections.values() if not i.withdrawn},
            key=lambda day: abs((day - command.on).days),
        )
        hint = f"Nearest: {', '.join(map(spoken, days[:3]))}." if days else ""
        raise NotFound("inspection", f"{code}, {spoken(command.on)}", hint=hint)
    if len(found) > 1:
        said = ", ".join(f"{i.inspector} ({i.kind.value})" for i in found)
        raise InvalidInput(
            f"{code} has {len(found)} inspections of {spoken(command.on)}: {said}. Say "
            "which, by inspector and kind.",
            field="inspector",
        )
    return found[0]


def _amended(
    dossier: Dossier, was: Inspection, command: InspectionAmendment, stamp: Stamp
) -> Inspection:
    said = InspectionCommand(
        support=command.support,
        inspected_on=command.new_on or was.inspected_on,
        inspector=_or(command.new_inspector, was.inspector),
        kind=_or(command.new_kind, was.kind.value),
        air=command.new_air or "",
        leaf=command.new_leaf or "",
    )
    visit, problems = visit_of(dossier, said, stamp, None)
    problems += _outlived(dossier, was, visit)
    refuse(f"The amendment of {dossier.support.code}", problems)
    better = replace(
        _heir(was, command.reason, stamp),
        kind=visit.kind,
        inspected_on=visit.inspected_on,
        inspector=visit.inspector,
        air_c=was.air_c if command.new_air is None else visit.air_c,
        leaf=was.leaf if command.new_leaf is None else visit.leaf,
        note=_or(command.new_note, was.note),
    )
    changed = [
        name
        for name in ("kind", "inspected_on", "inspector", "air_c", "leaf", "note")
        if getattr(better, name) != getattr(was, name)
    ]
    if not changed:
        raise InvalidInput("Nothing would change; say what is to be amended.")
    return better


def _outlived(dossier: Dossier, was: Inspection, visit: Inspection) -> list[Problem]:
    """Members that were not there on the new day, but were read."""
    read = {key[1] for key in dossier.readings if key[0] == was.root_id}
    ids = {m.member_id for m in dossier.marks.values() if m.id in read}
    on = visit.inspected_on
    return [
        Problem("date", on.isoformat(), f"a day on which {member.code} was there")
        for member in dossier.members.values()
        if member.id in ids
        and not member.installed_on <= on <= (member.removed_on or on)
    ]


def _refuse_collision(dossier: Dossier, better: Inspection) -> None:
    for root in dossier.by_day.get(better.inspected_on, ()):
        other = dossier.inspections[root]
        same_person = plain(other.inspector) == plain(better.inspector)
        same_day = other.inspected_on == better.inspected_on and not other.withdrawn
        same = same_person and same_day and other.kind is better.kind
        if same and root != better.root_id:
            raise Conflict(
                f"{dossier.support.code} already has a {other.kind.value} inspection "
                f"of {spoken(other.inspected_on)} by {other.inspector}."
            )


def _heir(was: Inspection, reason: str, stamp: Stamp) -> Inspection:
    return replace(
        was,
        id=new_id(),
        recorded_by=stamp.actor,
        recorded_at=stamp.now,
        supersedes_id=was.id,
        reason=reason.strip(),
    )


def _write_inspection(
    session: Session, dossier: Dossier, was: Inspection, entry: Inspection
) -> None:
    records.INSPECTIONS.add(session, [entry])
    action = "inspection withdrawn" if entry.withdrawn else "inspection amended"
    payload = {"inspection": values_of(entry), "was": values_of(was)}
    change = (action, f"support {dossier.support.code}", payload)
    append(session, [change], actor=entry.recorded_by, now=entry.recorded_at)
    mark_stale(session, [dossier.support.id], entry.recorded_at)


def _or(new: str | None, old: str) -> str:
    return old if new is None else new
