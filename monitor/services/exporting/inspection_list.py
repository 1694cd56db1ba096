"""Inspections as a list that the import reads back: a reading or finding a row."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from uuid import UUID

from monitor.domain.inspections import Finding, Inspection, Reading
from monitor.domain.supports import Member
from monitor.domain.vocabulary import Answer
from monitor.exchange.columns import (
    Cell,
    CellKind,
    OutColumn,
    OutTable,
    number_or_text,
    unit_as_typed,
)
from monitor.services.exporting.chosen import Chosen, standing
from monitor.store import Session, records
from monitor.store.lookup import all_in

_TEXT = CellKind.TEXT
HEAD = (
    OutColumn("support", _TEXT, "code on the tag"),
    OutColumn("date", CellKind.DAY, "civil date at the site"),
    OutColumn("kind", _TEXT, "why someone looked"),
    OutColumn("inspector", _TEXT, "who looked"),
    OutColumn("air", CellKind.NUMBER, "air temperature", "degC"),
    OutColumn("leaf", _TEXT, "whether the crown carried leaves"),
)
PARTS = (
    OutColumn("member", _TEXT, "code of the member read or found on"),
    OutColumn("mark", _TEXT, "spot on the member"),
    OutColumn("quantity", _TEXT, "what was read; see the list of quantities"),
    OutColumn("value", CellKind.TYPED, "as it was typed"),
    OutColumn("unit", _TEXT, "of the number in “value”; texts carry their own"),
    OutColumn("repeat", CellKind.WHOLE, "1 for the first of the day, 2 for its repeat"),
    OutColumn("method", _TEXT, "how it was read"),
    OutColumn("instrument", _TEXT, "code of the gauge"),
    OutColumn("answer", _TEXT, "why there is no number, where there is none"),
    OutColumn("why", _TEXT, "what stood in the way"),
    OutColumn("finding", _TEXT, "code of a finding"),
    OutColumn("grade", _TEXT, "how grave it is"),
    OutColumn("note", _TEXT, "of the finding; of the inspection where there is none"),
)


@dataclass(frozen=True, slots=True)
class Visits:
    """Inspections that stand, with their readings and findings.

    Attributes
    ----------
    inspections : by support, then day
    readings, findings : by root of their inspection
    """

    inspections: tuple[Inspection, ...]
    readings: dict[UUID, list[Reading]]
    findings: dict[UUID, list[Finding]]


def visits_of(session: Session, chosen: Chosen) -> Visits:
    """Everything that stands of these supports' inspections."""
    place = {key: i for i, key in enumerate(chosen.ids)}
    found = standing(all_in(session, records.INSPECTIONS, "support_id", chosen.ids))
    kept = sorted(
        (visit for visit in found if not visit.withdrawn),
        key=lambda v: (place[v.support_id], v.inspected_on, v.kind, v.inspector),
    )
    roots = [visit.root_id for visit in kept]
    readings: dict[UUID, list[Reading]] = defaultdict(list)
    for reading in standing(all_in(session, records.READINGS, "inspection_id", roots)):
        if reading.answer is not Answer.WITHDRAWN:
            readings[reading.inspection_id].append(reading)
    findings: dict[UUID, list[Finding]] = defaultdict(list)
    for finding in standing(all_in(session, records.FINDINGS, "inspection_id", roots)):
        findings[finding.inspection_id].append(finding)
    return Visits(tuple(kept), readings, findings)


def inspection_list(chosen: Chosen, visits: Visits) -> OutTable:
    """Every reading and finding with its inspection."""
    codes = {support.id: support.code for support in chosen.supports}
    members = {member.id: member for member in chosen.members}
    rows: list[tuple[Cell, ...]] = []
    for visit in visits.inspections:
        head = _head(codes[visit.support_id], visit)
        parts = [
            *_of_readings(chosen, members, visits.readings[visit.root_id]),
            *_of_findings(members, visits.findings[visit.root_id]),
        ]
        if visit.note or not parts:
            parts.insert(0, (*(None,) * (len(PARTS) - 1), visit.note))
        rows += [(*head, *part) for part in parts]
    meaning = "one row a reading or finding, as it was typed"
    return OutTable("inspections", meaning, (*HEAD, *PARTS), tuple(rows))


def _head(code: str, visit: Inspection) -> tuple[Cell, ...]:
    return (
        code,
        visit.inspected_on,
        visit.kind.value,
        visit.inspector,
        visit.air_c,
        visit.leaf.value if visit.leaf else "",
    )


def _of_readings(
    chosen: Chosen, members: dict[UUID, Member], readings: list[Reading]
) -> Iterator[tuple[Cell, ...]]:
    def place(reading: Reading) -> tuple[str, str, str, int]:
        mark = chosen.marks[reading.mark_id]
        return (
            members[mark.member_id].code,
            mark.code,
            reading.quantity,
            reading.repeat,
        )

    for reading in sorted(readings, key=place):
        member, mark, _, _ = place(reading)
        measured = reading.answer is Answer.MEASURED
        value = number_or_text(reading.given, unit_as_typed(reading.given))
        instrument = chosen.instruments.get(reading.instrument_id or UUID(int=0))
        yield (
            member,
            mark,
            reading.quantity,
            value if measured else "",
            unit_as_typed(reading.given) if isinstance(value, float) else "",
            reading.repeat,
            reading.method,
            instrument.code if instrument else "",
            "" if measured else reading.answer.value,
            "" if measured else reading.reason,
            "",
            "",
            "",
        )


def _of_findings(
    members: dict[UUID, Member], findings: list[Finding]
) -> Iterator[tuple[Cell, ...]]:
    def place(finding: Finding) -> tuple[str, str]:
        member = members.get(finding.member_id or UUID(int=0))
        return member.code if member else "", finding.code

    for finding in sorted(findings, key=place):
        member, code = place(finding)
        blank = (None,) * 9
        yield (member, *blank, code, finding.grade.value, finding.note)
