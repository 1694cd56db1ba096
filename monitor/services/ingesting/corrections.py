"""Corrections from a file: one a row."""

from monitor.exchange.headings import quantity_of
from monitor.services.drafting.correction import draft_correction
from monitor.services.ingesting.rows import Origin, Reader, blame_unknown
from monitor.services.recording.amend import write_corrections
from monitor.services.recording.checks import Stamp, plain
from monitor.services.recording.commands import ReadingCorrection
from monitor.services.recording.dossier import dossiers_of
from monitor.store import Session


def ingest_corrections(session: Session, reader: Reader, stamp: Stamp) -> None:
    """Check the rows in order, and write those that are sound and new."""
    lines = _lines(reader)
    dossiers = dossiers_of(session, {command.support for _, command in lines})
    asked = [(command.support, [row]) for row, command in lines]
    blame_unknown(session, reader, asked, dossiers)
    drafts = []
    tally = reader.tally
    for done, (row, command) in enumerate(lines, 1):
        reader.options.progress(done, len(lines))
        if row in tally.bad:
            continue
        dossier = dossiers[plain(command.support)]
        draft = draft_correction(dossier, command, stamp)
        for problem in draft.problems:
            reader.blame(problem, [Origin(row)])
        if draft.problems or draft.is_known or draft.reading is None:
            continue
        dossier.add_reading(draft.reading)
        drafts.append((dossier, draft))
        tally.new.add(row)
        tally.made["corrections"] += 1
    if not reader.options.dry_run and (reader.options.skip_bad or not tally.bad):
        write_corrections(session, drafts, stamp)


def _lines(reader: Reader) -> list[tuple[int, ReadingCorrection]]:
    lines = []
    for row in reader.table.rows:
        cells = reader.cells(row)
        on = reader.day(row, "date", cells["date"])
        repeat = cells.get("repeat", "") or "1"
        if not repeat.isdecimal():
            heading = reader.heading("repeat", Origin(row.number))
            reader.tally.wrong(row.number, heading, repeat, "a whole number from 1")
        if on is None or not repeat.isdecimal():
            continue
        command = ReadingCorrection(
            support=cells["support"],
            on=on,
            quantity=quantity_of(cells["quantity"]),
            text=cells["value"],
            reason=cells["reason"],
            unit=cells.get("unit", "") or reader.units.get("value", ""),
            member=cells.get("member", ""),
            mark=cells.get("mark", ""),
            repeat=int(repeat),
            inspector=cells.get("inspector", ""),
        )
        lines.append((row.number, command))
    return lines
