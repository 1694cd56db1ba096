"""What a work or a correction would do, before anything is written."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from monitor.domain.findings import FINDINGS
from monitor.domain.inspections import Reading
from monitor.domain.quantities import QUANTITIES, SERIES_LABEL
from monitor.domain.supports import Mark, Member
from monitor.services.drafting.correction import draft_correction
from monitor.services.drafting.work import draft_work
from monitor.services.recording.checks import Stamp, refuse, spoken
from monitor.services.recording.commands import ReadingCorrection, WorkCommand
from monitor.services.recording.dossier import Dossier, dossier_of
from monitor.store import Session
from monitor.units import show

NEWEST = 100
"""Readings that are offered to be corrected, the newest first."""


@dataclass(frozen=True, slots=True)
class Workable:
    """What a work on a support may name.

    Attributes
    ----------
    members : codes of those that stand
    open_findings : code and words
    """

    code: str
    members: tuple[str, ...]
    open_findings: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Correctable:
    """A reading that stands, in words, and what names it."""

    words: str
    on: date
    inspector: str
    quantity: str
    member: str
    mark: str
    repeat: int


def workable(session: Session, code: str, *, today: date) -> Workable:
    """What a work on that support may name.

    Raises
    ------
    NotFound : no such support, naming the nearest codes
    """
    dossier = dossier_of(session, code)
    stand = [m.code for m in dossier.members.values() if m.removed_on is None]
    found = {one.code: one for one in dossier.open_findings(today)}
    words = {key: FINDINGS[key].label if key in FINDINGS else key for key in found}
    return Workable(
        dossier.support.code, tuple(sorted(stand)), tuple(sorted(words.items()))
    )


def work_in_words(
    session: Session, command: WorkCommand, stamp: Stamp
) -> tuple[str, ...]:
    """What recording the work would do, sentence by sentence.

    Raises
    ------
    NotFound, InvalidInput : naming everything that is wrong
    """
    dossier = dossier_of(session, command.support)
    draft = draft_work(dossier, command, stamp)
    refuse(f"The work on {dossier.support.code}", draft.problems)
    if draft.is_known:
        return ("The record has this work already.",)
    anew = sorted({SERIES_LABEL[one.series] for one in draft.segments})
    said = [
        f"Anew from {spoken(command.done_on)}: {', '.join(anew)}; the next reading of "
        "each is its new baseline."
        if anew
        else "No series starts anew."
    ]
    if draft.closures:
        said.append(f"Findings it ends: {len(draft.closures)}.")
    said += [f"{member.code} is removed with it." for member in draft.members]
    if draft.support is not None:
        said.append(f"{draft.support.code} is out of service with it.")
    return (*said, *(f"{doubt.question}." for doubt in draft.doubts))


def correctable(session: Session, code: str) -> tuple[Correctable, ...]:
    """The newest readings of a support, newest first.

    Raises
    ------
    NotFound : no such support, naming the nearest codes
    """
    dossier = dossier_of(session, code)
    marks, members = _places(dossier)
    standing = (versions[-1] for versions in dossier.readings.values())
    rows = [
        _correctable(dossier, one, marks[one.mark_id], members)
        for one in standing
        if one.mark_id in marks and not dossier.inspections[one.inspection_id].withdrawn
    ]
    rows.sort(key=lambda row: (row.on, row.words), reverse=True)
    return tuple(rows[:NEWEST])


def correction_in_words(
    session: Session, command: ReadingCorrection, stamp: Stamp
) -> tuple[str, ...]:
    """What the reading says, and what would stand in its place.

    Raises
    ------
    NotFound, InvalidInput : naming what is wrong
    """
    dossier = dossier_of(session, command.support)
    draft = draft_correction(dossier, command, stamp)
    refuse(f"The correction of {dossier.support.code}", draft.problems)
    if draft.is_known or draft.reading is None or draft.was is None:
        return ("The record holds this correction already.",)
    return (
        f"It says {_value(draft.was)}.",
        f"In its place would stand {_value(draft.reading)}.",
        "What it said stays readable, with the reason.",
    )


def _places(dossier: Dossier) -> tuple[dict[UUID, Mark], dict[UUID, Member]]:
    marks = {mark.id: mark for mark in dossier.marks.values()}
    return marks, {member.id: member for member in dossier.members.values()}


def _correctable(
    dossier: Dossier, one: Reading, mark: Mark, members: dict[UUID, Member]
) -> Correctable:
    visit, member = dossier.inspections[one.inspection_id], members[mark.member_id]
    quantity = QUANTITIES[one.quantity]
    words = (
        f"{spoken(visit.inspected_on)}, {member.code} {mark.code}, "
        f"{quantity.label}: {_value(one)}, by {visit.inspector}"
    )
    return Correctable(
        words, visit.inspected_on, visit.inspector, one.quantity, member.code,
        mark.code, one.repeat,
    )  # fmt: skip


def _value(one: Reading) -> str:
    if one.value is None:
        return one.answer.value
    relation = "" if one.relation == "=" else f"{one.relation} "
    return relation + show(one.value, QUANTITIES[one.quantity].unit)
