"""Taking in a file: all its good rows or none, each bad one named.

What the record holds already is recognised by what it says, not by the file it came
in, so a file can be taken in again, whole or extended, and changes nothing twice.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from monitor.clock import new_id
from monitor.domain.running import ImportedFile
from monitor.errors import ImportRejected, RowProblem
from monitor.exchange.sheet import Sheet
from monitor.exchange.table import Table, table_of
from monitor.exchange.trade_words import FileKind
from monitor.services.ingesting.corrections import ingest_corrections
from monitor.services.ingesting.inspections import ingest_inspections
from monitor.services.ingesting.rows import (
    IngestOptions,
    Reader,
    Tally,
)
from monitor.services.ingesting.supports import ingest_supports
from monitor.services.ingesting.works import ingest_works
from monitor.services.recording.checks import Stamp
from monitor.services.recording.ledger_values import values_of
from monitor.store import Session, records
from monitor.store.ledger import append


@dataclass(frozen=True, slots=True)
class Report:
    """What became of a file.

    Attributes
    ----------
    taken, known, refused : rows that were new, in the record already, bad
    problems : what was wrong with the refused rows
    warnings : what was taken but is surprising
    made : how many records of each kind were written
    """

    file_name: str
    kind: FileKind
    taken: int
    known: int
    refused: int
    problems: tuple[RowProblem, ...]
    warnings: tuple[RowProblem, ...]
    made: Mapping[str, int]


def ingest(
    session: Session,
    sheet: Sheet,
    options: IngestOptions,
    *,
    actor: str,
    now: datetime,
) -> Report:
    """Take in a file of supports, inspections, works or corrections.

    Raises
    ------
    ImportRejected : naming every bad row, unless they are to be skipped and there are
        good ones; nothing was written
    """
    table = table_of(sheet, options.mapping)
    tally = Tally()
    for problem in table.ragged:
        tally.wrong(problem.row, problem.column, problem.found, problem.expected)
    reader = Reader(table, options, tally)
    _INGEST[table.kind](session, reader, Stamp(actor, now))
    _refuse_bad(table, tally, options)
    report = _report(table, tally)
    if report.taken and not options.dry_run:
        _note_file(session, sheet, report, Stamp(actor, now))
    return report


def _refuse_bad(table: Table, tally: Tally, options: IngestOptions) -> None:
    problems = tuple(sorted(tally.problems, key=lambda problem: problem.row))
    rows = {row.number for row in table.rows}
    if not problems:
        return
    if rows <= tally.bad:
        raise ImportRejected(
            f"{table.file_name} was refused, nothing was written: none of its "
            f"{len(rows)} rows is good. First: {problems[0]}.",
            problems=problems,
        )
    if not options.skip_bad:
        raise ImportRejected(
            f"{table.file_name} was refused, nothing was written: {len(tally.bad)} of "
            f"{len(rows)} rows are bad. First: {problems[0]}. Mend them, or take the "
            "others with --skip-bad.",
            problems=problems,
        )


def _report(table: Table, tally: Tally) -> Report:
    rows = {row.number for row in table.rows}
    return Report(
        file_name=table.file_name,
        kind=table.kind,
        taken=len(tally.new),
        known=len(rows - tally.new - tally.bad),
        refused=len(tally.bad & rows),
        problems=tuple(sorted(tally.problems, key=lambda problem: problem.row)),
        warnings=tuple(sorted(tally.warnings, key=lambda warning: warning.row)),
        made={name: n for name, n in tally.made.items() if n},
    )


def _note_file(session: Session, sheet: Sheet, report: Report, stamp: Stamp) -> None:
    file = ImportedFile(
        id=new_id(),
        file_name=report.file_name,
        sha256=sheet.sha256,
        kind=report.kind.value,
        rows_taken=report.taken,
        rows_known=report.known,
        rows_refused=report.refused,
        recorded_by=stamp.actor,
        recorded_at=stamp.now,
    )
    records.IMPORTS.add(session, [file])
    change = ("file taken in", f"file {report.file_name}", values_of(file))
    append(session, [change], actor=stamp.actor, now=stamp.now)


_INGEST = {
    FileKind.SUPPORTS: ingest_supports,
    FileKind.INSPECTIONS: ingest_inspections,
    FileKind.WORKS: ingest_works,
    FileKind.CORRECTIONS: ingest_corrections,
}
