"""Inspections from a file: a reading or finding a row, or a whole inspection a row."""

from dataclasses import dataclass, field
from datetime import date

from monitor.domain.vocabulary import Answer
from monitor.exchange.headings import READING, quantity_of
from monitor.exchange.sheet import Row
from monitor.exchange.trade_words import NO_NUMBER
from monitor.services.drafting.draft import Draft
from monitor.services.drafting.inspection import draft_inspection, enter
from monitor.services.drafting.visit import same_inspections
from monitor.services.ingesting.rows import (
    Origin,
    Reader,
    blame_unknown,
    with_heading_unit,
)
from monitor.services.recording.checks import HEAD, Problem, Stamp, plain, word
from monitor.services.recording.commands import (
    FindingCommand,
    InspectionCommand,
    ReadingCommand,
)
from monitor.services.recording.dossier import Dossier, dossiers_of
from monitor.services.recording.record import Entry, write
from monitor.store import Session

_HEADS = ("air", "leaf")


@dataclass(slots=True)
class Visit:
    """The rows of one inspection.

    Attributes
    ----------
    readings, findings : with where each stands in the file
    rows : numbers of all its rows
    """

    support: str
    on: date
    inspector: str
    kind: str
    head: dict[str, str] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    readings: list[tuple[ReadingCommand, Origin]] = field(default_factory=list)
    findings: list[tuple[FindingCommand, Origin]] = field(default_factory=list)
    rows: list[int] = field(default_factory=list)

    @property
    def origins(self) -> list[Origin]:
        """Where each part stands, readings before findings."""
        return [origin for _, origin in (*self.readings, *self.findings)]

    def command(self) -> InspectionCommand:
        """The inspection as the record service wants it."""
        return InspectionCommand(
            support=self.support,
            inspected_on=self.on,
            inspector=self.inspector,
            kind=self.kind,
            readings=tuple(reading for reading, _ in self.readings),
            findings=tuple(finding for finding, _ in self.findings),
            air=self.head.get("air", ""),
            leaf=self.head.get("leaf", ""),
            note="; ".join(dict.fromkeys(self.notes)),
            source="import",
        )


def ingest_inspections(session: Session, reader: Reader, stamp: Stamp) -> None:
    """Check the rows, and write what of them is sound and new."""
    visits = _visits(reader)
    dossiers = dossiers_of(session, {visit.support for visit in visits})
    asked = [(visit.support, visit.rows) for visit in visits]
    blame_unknown(session, reader, asked, dossiers)
    known = [visit for visit in visits if plain(visit.support) in dossiers]
    entries = []
    for done, visit in enumerate(sorted(known, key=lambda v: v.on), 1):
        dossier = dossiers[plain(visit.support)]
        draft = _checked(dossier, visit, reader, stamp)
        if draft is not None and draft.changes_record:
            entries.append(Entry(dossier, draft, *enter(dossier, draft)))
            _count(reader, visit, draft)
        if done % 200 == 0 or done == len(known):
            reader.options.progress(done, len(known))
    if not reader.options.dry_run and (reader.options.skip_bad or not reader.tally.bad):
        write(session, entries, stamp)


def _visits(reader: Reader) -> list[Visit]:
    visits: dict[tuple[object, ...], Visit] = {}
    for row in reader.table.rows:
        cells = reader.cells(row)
        on = reader.day(row, "date", cells["date"])
        if on is None:
            continue
        key = (
            plain(cells["support"]),
            on,
            plain(cells["inspector"]),
            plain(cells.get("kind", "")),
        )
        visit = visits.get(key)
        if visit is None:
            visit = Visit(
                cells["support"], on, cells["inspector"], cells.get("kind", "")
            )
            visits[key] = visit
        visit.rows.append(row.number)
        _add_head(reader, visit, row, cells)
        _add_parts(reader, visit, row, cells)
    return list(visits.values())


def _add_head(reader: Reader, visit: Visit, row: Row, cells: dict[str, str]) -> None:
    for name in _HEADS:
        text = with_heading_unit(cells.get(name, ""), reader.units.get(name, ""))
        said = visit.head.get(name, "")
        if text and said and text != said:
            expected = f"“{said}”, as in row {visit.rows[0]} of the same inspection"
            heading = reader.heading(name, Origin(row.number))
            reader.tally.wrong(row.number, heading, text, expected)
        elif text:
            visit.head[name] = text


def _add_parts(reader: Reader, visit: Visit, row: Row, cells: dict[str, str]) -> None:
    origin = Origin(row.number)
    finding, note = cells.get("finding", ""), cells.get("note", "")
    if finding:
        seen = FindingCommand(
            finding, cells.get("grade", ""), cells.get("member", ""), note
        )
        visit.findings.append((seen, origin))
    elif note:
        visit.notes.append(note)
    for column, text in reader.named(row, READING):
        said = cells | {
            "quantity": column.name,
            "value": text,
            "unit": column.unit,
            "member": column.member or cells.get("member", ""),
            "mark": column.mark or cells.get("mark", ""),
        }
        reading = _reading(reader, row, said)
        visit.readings.append((reading, Origin(row.number, column)))
    if any(cells.get(name) for name in ("quantity", "value", "answer")):
        unit = cells.get("unit", "") or reader.units.get("value", "")
        visit.readings.append((_reading(reader, row, cells | {"unit": unit}), origin))


def _reading(reader: Reader, row: Row, cells: dict[str, str]) -> ReadingCommand:
    """One reading as typed; a cell may hold the reason for no number."""
    value, answer = cells.get("value", ""), cells.get("answer", "")
    if not answer and (
        no_number := word(Answer, value) or NO_NUMBER.get(value.casefold())
    ):
        value, answer = "", no_number
    repeat = cells.get("repeat", "")
    if repeat and not (repeat.isdecimal() and 1 <= int(repeat) <= 99):
        heading = reader.heading("repeat", Origin(row.number))
        reader.tally.wrong(row.number, heading, repeat, "a whole number from 1")
        repeat = ""
    return ReadingCommand(
        quantity=quantity_of(cells.get("quantity", "")),
        text=value,
        unit=cells.get("unit", ""),
        member=cells.get("member", ""),
        mark=cells.get("mark", ""),
        repeat=int(repeat or 0),
        method=cells.get("method", ""),
        instrument=cells.get("instrument", ""),
        answer=answer,
        why=cells.get("why", ""),
    )


def _checked(
    dossier: Dossier, visit: Visit, reader: Reader, stamp: Stamp
) -> Draft | None:
    """The draft of a visit without its bad rows; None if nothing of it is sound."""
    command = visit.command()
    draft = _drafted(dossier, command, stamp)
    origins = visit.origins
    for problem in draft.problems:
        reader.blame(problem, _standing_in(problem, visit, origins))
    for doubt in draft.doubts:
        reader.question(doubt, origins[doubt.part])
    bad = reader.tally.bad
    for part, origin in enumerate(origins):
        if origin.row in bad:
            draft.readings.pop(part, None)
            draft.findings.pop(part, None)
    return None if bad.issuperset(visit.rows) else draft


def _drafted(dossier: Dossier, command: InspectionCommand, stamp: Stamp) -> Draft:
    """The visit as a new inspection, or as more of one that is in the record.

    What a withdrawn inspection said already stays withdrawn; anything else said of
    that day is a new inspection.
    """
    same = same_inspections(dossier, command)
    standing = [inspection for inspection in same if not inspection.withdrawn]
    if len(standing) > 1:
        kinds = " or ".join(inspection.kind.value for inspection in standing)
        draft = draft_inspection(dossier, command, stamp, into=standing[0])
        draft.problems = [Problem("kind", "", f"{kinds}, as both are in the record")]
        return draft
    if standing:
        return draft_inspection(dossier, command, stamp, into=standing[0])
    for withdrawn in same:
        draft = draft_inspection(dossier, command, stamp, into=withdrawn)
        if not draft.problems and not draft.changes_record:
            return draft
    return draft_inspection(dossier, command, stamp)


def _standing_in(problem: Problem, visit: Visit, origins: list[Origin]) -> list[Origin]:
    if problem.part == HEAD:
        return [Origin(row) for row in visit.rows]
    return [origins[problem.part]]


def _count(reader: Reader, visit: Visit, draft: Draft) -> None:
    tally, origins = reader.tally, visit.origins
    parts = (*draft.readings, *draft.findings)
    tally.new |= {origins[part].row for part in parts}
    if draft.is_new:
        tally.new |= set(visit.rows) - {origin.row for origin in origins} - tally.bad
    tally.made["inspections"] += draft.is_new
    tally.made["readings"] += len(draft.readings)
    tally.made["findings"] += len(draft.findings)
