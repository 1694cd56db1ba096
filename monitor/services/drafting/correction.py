"""A correction of one reading, checked against what it corrects."""

from dataclasses import dataclass, field, replace
from datetime import date

from monitor.clock import new_id
from monitor.domain.inspections import Reading
from monitor.domain.quantities import Quantity
from monitor.domain.vocabulary import Answer
from monitor.services.drafting.inspection import says_same
from monitor.services.drafting.reading import member_named, quantity_named, with_value
from monitor.services.recording.checks import (
    Problem,
    Stamp,
    Wanted,
    near,
    number,
    plain,
    spoken,
    too_long,
)
from monitor.services.recording.commands import ReadingCorrection
from monitor.services.recording.dossier import Dossier

WITHDRAWN = "withdrawn"


@dataclass(slots=True)
class CorrectionDraft:
    """What would be written, and what stands against it.

    Attributes
    ----------
    was, reading : the version that stands, and the one that takes its place
    is_known : whether the record holds the correction already
    """

    was: Reading | None = None
    reading: Reading | None = None
    is_known: bool = False
    problems: list[Problem] = field(default_factory=list)


def draft_correction(
    dossier: Dossier, command: ReadingCorrection, stamp: Stamp
) -> CorrectionDraft:
    """Check a correction against the reading it is meant for."""
    draft = CorrectionDraft(problems=too_long("reason", command.reason))
    if not command.reason.strip():
        draft.problems.append(Problem("reason", "", "why the reading is corrected"))
    quantity = quantity_named(command.quantity)
    if isinstance(quantity, Problem):
        draft.problems.append(quantity)
        return draft
    versions = _versions(dossier, command, quantity)
    if isinstance(versions, Problem):
        draft.problems.append(versions)
        return draft
    better = _better(versions[-1], command, quantity, stamp)
    if isinstance(better, Problem):
        draft.problems.append(better)
        return draft
    draft.was, draft.reading = versions[-1], better
    draft.is_known = any(
        says_same(version, better) and version.reason == better.reason
        for version in versions[1:]
    )
    if not draft.is_known and says_same(versions[-1], better):
        found = better.given or better.answer.value
        expected = "another value; this one stands already"
        draft.problems.append(Problem("value", found, expected))
    return draft


def _versions(
    dossier: Dossier, command: ReadingCorrection, quantity: Quantity
) -> list[Reading] | Problem:
    """Every version of the reading meant, oldest first."""
    member = member_named(dossier, command.member, quantity)
    if isinstance(member, Problem):
        return member
    code = command.mark or quantity.mark
    mark = dossier.marks.get((member.id, plain(code)))
    if mark is None:
        marks = [m.code for m in dossier.marks.values() if m.member_id == member.id]
        hint = near(code, marks) or f": {', '.join(marks)}"
        return Problem("mark", code, f"a mark of {member.code}{hint}")
    found = [
        versions
        for (root, mark_id, name, repeat), versions in dossier.readings.items()
        if (mark_id, name, repeat) == (mark.id, quantity.name, command.repeat)
        and _is_meant(dossier, root, command)
    ]
    if len(found) == 1:
        return found[0]
    if found:
        expected = "who read it, as two people did on that day"
        return Problem("inspector", command.inspector, expected)
    days = _days(dossier, mark.id, quantity.name, command.on)
    expected = f"a day on which {quantity.label} was read at “{mark.code}”{days}"
    return Problem("date", command.on.isoformat(), expected)


def _is_meant(dossier: Dossier, root: object, command: ReadingCorrection) -> bool:
    inspection = next(i for r, i in dossier.inspections.items() if r == root)
    return (
        not inspection.withdrawn
        and inspection.inspected_on == command.on
        and (
            not command.inspector
            or plain(inspection.inspector) == plain(command.inspector)
        )
    )


def _days(dossier: Dossier, mark_id: object, name: str, on: date) -> str:
    """The nearest days on which it was read."""
    past = [
        day
        for (mark, quantity), readings in dossier.history.items()
        if (mark, quantity) == (mark_id, name)
        for day, _, _ in readings
    ]
    nearest = sorted(set(past), key=lambda day: abs((day - on).days))[:2]
    return f", such as {' or '.join(map(spoken, nearest))}" if nearest else ""


def _better(
    was: Reading, command: ReadingCorrection, quantity: Quantity, stamp: Stamp
) -> Reading | Problem:
    new = replace(
        was,
        id=new_id(),
        reason=command.reason.strip(),
        recorded_at=stamp.now,
        supersedes_id=was.id,
    )
    if plain(command.text) == WITHDRAWN:
        return replace(new, answer=Answer.WITHDRAWN, value=None, relation="=", given="")
    wanted = Wanted(quantity.label, quantity.unit, quantity.low, quantity.high)
    measure = number(command.text, command.unit, wanted)
    if isinstance(measure, str):
        return Problem("value", command.text, f"{measure}; or “{WITHDRAWN}”")
    return with_value(new, measure, command.unit)
