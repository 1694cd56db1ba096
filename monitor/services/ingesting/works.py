"""Works from a file: one a row."""

from dataclasses import dataclass

from monitor.services.drafting.work import draft_work, enter_work
from monitor.services.ingesting.rows import (
    Origin,
    Reader,
    blame_unknown,
    split_list,
)
from monitor.services.recording.checks import Stamp, plain
from monitor.services.recording.commands import WorkCommand
from monitor.services.recording.dossier import dossiers_of
from monitor.services.recording.works import write_works
from monitor.store import Session


@dataclass(frozen=True, slots=True)
class Line:
    """One work and its row."""

    row: int
    command: WorkCommand


def ingest_works(session: Session, reader: Reader, stamp: Stamp) -> None:
    """Check the rows, oldest work first, and write those that are sound and new."""
    lines = sorted(_lines(reader), key=lambda line: line.command.done_on)
    dossiers = dossiers_of(session, {line.command.support for line in lines})
    asked = [(line.command.support, [line.row]) for line in lines]
    blame_unknown(session, reader, asked, dossiers)
    drafts = []
    tally = reader.tally
    for done, line in enumerate(lines, 1):
        reader.options.progress(done, len(lines))
        if line.row in tally.bad:
            continue
        dossier = dossiers[plain(line.command.support)]
        draft = draft_work(dossier, line.command, stamp)
        origin = Origin(line.row)
        for problem in draft.problems:
            reader.blame(problem, [origin])
        for doubt in draft.doubts:
            reader.question(doubt, origin)
        if line.row in tally.bad or draft.is_known:
            continue
        enter_work(dossier, draft)
        drafts.append((dossier, draft))
        tally.new.add(line.row)
        tally.made["works"] += 1
        tally.made["closed findings"] += len(draft.closures)
    if not reader.options.dry_run and (reader.options.skip_bad or not tally.bad):
        write_works(session, drafts, stamp)


def _lines(reader: Reader) -> list[Line]:
    lines = []
    for row in reader.table.rows:
        cells = reader.cells(row)
        done_on = reader.day(row, "date", cells["date"])
        if done_on is None:
            continue
        restarts = split_list(cells.get("restarts", ""))
        command = WorkCommand(
            support=cells["support"],
            done_on=done_on,
            kind=cells["work"],
            done_by=cells.get("done by", ""),
            member=cells.get("member", ""),
            note=cells.get("note", ""),
            restarts=restarts or None,
            closes=split_list(cells.get("closes", "")),
        )
        lines.append(Line(row.number, command))
    return lines
