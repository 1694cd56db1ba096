"""The head of an inspection: who looked when, and why."""

from dataclasses import replace
from datetime import date, datetime

from monitor.clock import local_date, new_id
from monitor.domain.inspections import Inspection
from monitor.domain.vocabulary import InspectionKind, LeafState
from monitor.services.recording.checks import (
    Problem,
    Stamp,
    W,
    Wanted,
    number,
    one_of,
    plain,
    spoken,
    word,
)
from monitor.services.recording.commands import InspectionCommand
from monitor.services.recording.dossier import Dossier

_AIR = Wanted("air temperature", "degC", -60.0, 60.0)


def visit_of(
    dossier: Dossier,
    command: InspectionCommand,
    stamp: Stamp,
    into: Inspection | None,
) -> tuple[Inspection, list[Problem]]:
    """The head as it would be stored, and what is wrong with it.

    Parameters
    ----------
    into : the inspection in the record that is added to, None if it is a new one
    """
    problems: list[Problem] = []
    kind = _chosen(InspectionKind, "kind", command.kind, problems)
    leaf = _chosen(LeafState, "leaf", command.leaf, problems)
    today = local_date(stamp.now, dossier.timezone)
    problems += day_problems(dossier, "date", command.inspected_on, today)
    if not command.inspector.strip():
        problems.append(Problem("inspector", "", "the name of who looked"))
    air = number(command.air, "degC", _AIR) if command.air else None
    if isinstance(air, str):
        problems.append(Problem("air", command.air, air))
        air = None
    key = command.id or new_id()
    visit = Inspection(
        id=key,
        root_id=key,
        support_id=dossier.support.id,
        kind=kind or _usual_kind(dossier, command.inspected_on),
        inspected_on=command.inspected_on,
        inspector=" ".join(command.inspector.split()),
        device_at=command.device_at,
        air_c=air.value if air else None,
        leaf=leaf,
        note=command.note.strip(),
        source=command.source,
        withdrawn=False,
        recorded_by=stamp.actor,
        recorded_at=stamp.now,
        supersedes_id=None,
        reason="",
    )
    if into is None:
        return visit, problems
    problems += _differences(dossier.visit_versions[into.root_id], visit)
    return replace(into, recorded_at=stamp.now), problems


def same_inspections(dossier: Dossier, command: InspectionCommand) -> list[Inspection]:
    """Inspections of that day by that person, and of that kind where one is given.

    One that was amended is found by what it said before as well.
    """
    roots = dossier.by_day.get(command.inspected_on, ())
    return [
        dossier.inspections[root]
        for root in roots
        if any(is_named_by(i, command) for i in dossier.visit_versions[root])
    ]


def is_named_by(inspection: Inspection, command: InspectionCommand) -> bool:
    """Whether this version is of the day, person and kind of the command."""
    return (
        inspection.inspected_on == command.inspected_on
        and plain(inspection.inspector) == plain(command.inspector)
        and (not command.kind or plain(inspection.kind) == plain(command.kind))
    )


def _chosen(words: type[W], name: str, text: str, problems: list[Problem]) -> W | None:
    """One of our words, None if nothing was said; a strange one is a problem."""
    found = word(words, text) if text else None
    if text and found is None:
        problems.append(Problem(name, text, one_of(words)))
    return found


def day_problems(dossier: Dossier, name: str, on: date, today: date) -> list[Problem]:
    """What is wrong with a day on which something is said to have happened."""
    support = dossier.support
    if isinstance(on, datetime):
        return [Problem(name, str(on), "a civil date at the site")]
    if on > today:
        expected = f"no day after {spoken(today)}, which is today at the site"
        return [Problem(name, on.isoformat(), expected)]
    if on < support.installed_on:
        expected = f"a day from {spoken(support.installed_on)}, when {support.code} was"
        return [Problem(name, on.isoformat(), f"{expected} installed")]
    if support.removed_on and on > support.removed_on:
        expected = f"a day up to {spoken(support.removed_on)}, when {support.code} was"
        return [Problem(name, on.isoformat(), f"{expected} removed")]
    return []


def _differences(versions: list[Inspection], visit: Inspection) -> list[Problem]:
    """What no version in the record says of the inspection; silence differs not."""
    ways = {"air": _air, "leaf": _leaf, "note": _note}
    return [
        Problem(
            name,
            said(visit),
            f"“{said(versions[-1])}” as recorded; to change it, amend the inspection "
            "with a reason",
        )
        for name, said in ways.items()
        if said(visit) and said(visit) not in map(said, versions)
    ]


def _air(inspection: Inspection) -> str:
    return "" if inspection.air_c is None else f"{inspection.air_c:g} °C"


def _leaf(inspection: Inspection) -> str:
    return inspection.leaf or ""


def _note(inspection: Inspection) -> str:
    return inspection.note


def _usual_kind(dossier: Dossier, on: date) -> InspectionKind:
    has_first = any(
        i.inspected_on <= on or i.kind is InspectionKind.BASELINE
        for i in dossier.inspections.values()
        if not i.withdrawn
    )
    return InspectionKind.ROUTINE if has_first else InspectionKind.BASELINE
