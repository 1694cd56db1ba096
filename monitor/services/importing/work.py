"""Trying a waiting file, and taking it in: one transaction, or nothing."""

import hashlib
import threading
import time
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from pathlib import Path

from monitor.clock import Clock
from monitor.errors import Conflict, ImportRejected, MonitorError, RowProblem
from monitor.exchange.headings import Column
from monitor.exchange.mapping import HeadingMap
from monitor.exchange.sheet import Row, Sheet
from monitor.exchange.table import guessed_columns, headings_row
from monitor.exchange.tables import ReadOptions, sheet_of
from monitor.exchange.trade_words import FileKind
from monitor.services.importing import desk as desks
from monitor.services.importing.desk import MOST_PROBLEMS, Desk, Stage
from monitor.services.ingesting.ingest import Report, ingest
from monitor.services.ingesting.rows import IngestOptions
from monitor.store import Session, Store

TELL_EVERY_S = 0.5


@dataclass(frozen=True, slots=True)
class Bench:
    """Where files are worked on, and for whom."""

    data_folder: Path
    store: Store
    clock: Clock
    actor: str
    limit_mb: int
    timezone: str


@dataclass(frozen=True, slots=True)
class Look:
    """A file as it would be read now.

    Attributes
    ----------
    kind, columns : what is made of it; None for a heading that is not known
    headings : in the order of the file
    rows : beneath them, with what was mended
    """

    kind: FileKind
    columns: dict[str, Column | None]
    headings: tuple[str, ...]
    rows: tuple[Row, ...]


def look_at(bench: Bench, desk: Desk) -> Look:
    """Read a waiting file.

    Raises
    ------
    ImportRejected : it can not be read, or does not tell what it holds
    """
    sheet = sheet_with_cells(bench, desk)
    said = heading_map(desk)
    kind, columns = guessed_columns(sheet, said)
    at = headings_row(sheet, said)
    return Look(kind, columns, sheet.rows[at].cells, sheet.rows[at + 1 :])


def sheet_with_cells(bench: Bench, desk: Desk) -> Sheet:
    """The file with its mended cells; its fingerprint is that of both."""
    content = desks.content_of(bench.data_folder, desk)
    options = ReadOptions(limit_mb=bench.limit_mb)
    sheet = sheet_of(desk.file_name, content, options)
    cells = desk.said.cells
    if not cells:
        return sheet
    headings = sheet.rows[headings_row(sheet, heading_map(desk))].cells
    rows = tuple(_mended(row, headings, cells) for row in sheet.rows)
    mended = hashlib.sha256(sheet.sha256.encode() + repr(rows).encode()).hexdigest()
    return replace(sheet, rows=rows, sha256=mended)


def heading_map(desk: Desk) -> HeadingMap:
    """What a person said of the headings."""
    said = desk.said
    kind = FileKind(said.kind) if said.kind in set(FileKind) else None
    return HeadingMap(kind, said.dates, said.headings)


def start(bench: Bench, desk: Desk, stage: Stage) -> threading.Thread:
    """Begin to try a file or to take it in, aside from whoever asked.

    Raises
    ------
    Conflict : it is being worked on already, or was taken in
    """
    now = bench.clock.now()
    if desk.is_running(now) or desk.stage is Stage.TAKEN:
        raise Conflict(
            f"{desk.file_name} is {desk.stage.value} already.", code="imp-005"
        )
    begun = replace(desk, stage=stage, done=0, whole=0, message="", told_at=now)
    desks.put(bench.data_folder, begun)
    thread = threading.Thread(target=run, args=(bench, begun), daemon=False)
    thread.start()
    return thread


def run(bench: Bench, desk: Desk) -> Desk:
    """Do the work and write down how it ended, whatever happens."""
    is_dry = desk.stage is Stage.TRYING
    try:
        report = _ingested(bench, desk, is_dry=is_dry)
    except ImportRejected as no:
        ended = _refused(desk, no.message, no.problems)
    except MonitorError as error:
        ended = _refused(desk, error.message, ())
    except Exception as error:  # nobody else is there to hear it
        ended = _refused(
            desk,
            f"It was broken off ({type(error).__name__}); nothing was written.",
            (),
        )
    else:
        ended = _reported(desk, report, Stage.TRIED if is_dry else Stage.TAKEN)
    ended = replace(ended, told_at=bench.clock.now())
    desks.put(bench.data_folder, ended)
    return ended


def _ingested(bench: Bench, desk: Desk, *, is_dry: bool) -> Report:
    sheet = sheet_with_cells(bench, desk)
    options = IngestOptions(
        dates=desk.said.dates,
        skip_bad=desk.said.skip_bad,
        dry_run=is_dry,
        timezone=bench.timezone,
        mapping=heading_map(desk),
        progress=_teller(bench, desk),
    )
    opened: AbstractContextManager[Session] = (
        bench.store.read_session() if is_dry else bench.store.write_session()
    )
    with opened as session:
        now = bench.clock.now()
        return ingest(session, sheet, options, actor=bench.actor, now=now)


def _teller(bench: Bench, desk: Desk) -> Callable[[int, int], None]:
    """Write progress down, but not at every row."""
    last = [0.0]

    def tell(done: int, whole: int) -> None:
        if time.monotonic() - last[0] >= TELL_EVERY_S:
            last[0] = time.monotonic()
            told = replace(desk, done=done, whole=whole, told_at=bench.clock.now())
            desks.put(bench.data_folder, told)

    return tell


def _mended(
    row: Row, headings: tuple[str, ...], cells: dict[str, dict[str, str]]
) -> Row:
    given = cells.get(str(row.number))
    if not given:
        return row
    wide = [*row.cells, *[""] * (len(headings) - len(row.cells))]
    for n, heading in enumerate(headings):
        if heading in given:
            wide[n] = given[heading].strip()
    return replace(row, cells=tuple(wide))


def _refused(desk: Desk, message: str, problems: tuple[RowProblem, ...]) -> Desk:
    return replace(
        desk, stage=Stage.REFUSED, message=message, problems=_plain(problems),
        doubts=(), counts={},
    )  # fmt: skip


def _reported(desk: Desk, report: Report, stage: Stage) -> Desk:
    counts = {"new": report.taken, "known": report.known, "bad": report.refused}
    return replace(
        desk, stage=stage, message="", problems=_plain(report.problems),
        doubts=_plain(report.warnings), counts=counts | dict(report.made),
    )  # fmt: skip


def _plain(problems: tuple[RowProblem, ...]) -> tuple[tuple[int, str, str, str], ...]:
    return tuple(
        (p.row, p.column, p.found, p.expected) for p in problems[:MOST_PROBLEMS]
    )
