"""Loading the invented city of Velmarsh: its history replayed through the import.

Each year's rows are taken in as if entered on 31 December of that year, corrections on
the day they were entered, so that the record can be asked what was known on any date.
What lies after the clock's day has not happened yet and is left out.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

from monitor.clock import Clock, local_date
from monitor.exchange.mapping import HeadingMap
from monitor.exchange.sheet import Row, Sheet
from monitor.exchange.tables import ReadOptions, read_sheet
from monitor.exchange.trade_words import FileKind
from monitor.services.demo_events import tell, told_events
from monitor.services.ingesting.ingest import ingest
from monitor.services.ingesting.rows import IngestOptions
from monitor.store import Session, Store

FOLDER = Path(__file__).parents[2] / "demo_data"
ACTOR = "Velmarsh demo"
TIMEZONE = "UTC"

_FILES = {
    "supports.csv": FileKind.SUPPORTS,
    "inspections.csv": FileKind.INSPECTIONS,
    "works.csv": FileKind.WORKS,
    "corrections.csv": FileKind.CORRECTIONS,
}
_CLOSING_TIME = time(18, 0)

Progress = Callable[[float], None]


@dataclass(frozen=True, slots=True)
class DemoLoaded:
    """What the replay brought.

    Attributes
    ----------
    taken, known : rows that were new, and that the record held already
    """

    taken: int
    known: int


@dataclass(frozen=True, slots=True)
class _Step:
    """Rows of one file that are entered on one day."""

    entered_on: date
    sheet: Sheet


def load_demo(
    store: Store, *, today_clock: Clock, progress: Progress, folder: Path = FOLDER
) -> DemoLoaded:
    """Replay the demo's history up to the clock's day, one transaction a step.

    Events of the present year follow with `tell_latest`. Loading it again changes
    nothing.

    Parameters
    ----------
    progress : told what share of the rows is done, from 0 to 1
    folder : where the CSV files are
    """
    now = today_clock.now()
    today = local_date(now, TIMEZONE)
    sheets = [read_sheet(folder / name, ReadOptions()) for name in _FILES]
    steps = [
        step
        for sheet in sheets
        for step in _STEPS[sheet.file_name](_past(sheet, today))
    ]
    all_rows = sum(len(step.sheet.rows) - 1 for step in steps)
    taken = known = 0
    events = told_events(folder, date(today.year, 1, 1))
    for step in sorted(steps, key=lambda step: step.entered_on):
        with store.write_session() as session:
            while events and events[0].command.happened_on < step.entered_on:
                one = events.pop(0)
                at = _evening(one.command.happened_on)
                tell(session, one, actor=ACTOR, now=at)
            kind = _FILES[step.sheet.file_name]
            report = ingest(
                session,
                step.sheet,
                IngestOptions(timezone=TIMEZONE, mapping=HeadingMap(kind)),
                actor=ACTOR,
                now=min(_evening(step.entered_on), now),
            )
        taken += report.taken
        known += report.known
        progress((taken + known) / all_rows)
    return DemoLoaded(taken, known)


def tell_latest(session: Session, now: datetime, folder: Path = FOLDER) -> None:
    """Enter what happened this year, once it is known how everything stands."""
    today = local_date(now, TIMEZONE)
    for one in told_events(folder, today):
        if one.command.happened_on.year == today.year:
            tell(session, one, actor=ACTOR, now=now)


def _past(sheet: Sheet, today: date) -> Sheet:
    """The rows that have happened by today."""
    headings, *rows = sheet.rows
    name = "installed" if "installed" in headings.cells else "date"
    at = headings.cells.index(name)
    past = (row for row in rows if row.cells[at] <= today.isoformat())
    return replace(sheet, rows=(headings, *past))


def _by_year(sheet: Sheet) -> Iterator[_Step]:
    """Rows in the year of their date, entered at the end of it."""
    headings, *rows = sheet.rows
    at = headings.cells.index("date")
    years: dict[int, list[Row]] = defaultdict(list)
    for row in rows:
        years[int(row.cells[at][:4])].append(row)
    for year, found in years.items():
        yield _Step(date(year, 12, 31), replace(sheet, rows=(headings, *found)))


def _by_life(sheet: Sheet) -> Iterator[_Step]:
    """Members in the year of their installation, and again in that of their removal.

    Until then the record knows nothing of a removal.
    """
    headings, *rows = sheet.rows
    installed, removed, note = (
        headings.cells.index(name) for name in ("installed", "removed", "removal note")
    )
    years: dict[int, list[Row]] = defaultdict(list)
    for row in rows:
        first, last = row.cells[installed][:4], row.cells[removed][:4]
        if last and last != first:
            years[int(last)].append(row)
            row = _without(row, {removed, note})
        years[int(first)].append(row)
    for year, found in years.items():
        yield _Step(date(year, 12, 31), replace(sheet, rows=(headings, *found)))


def _by_entry(sheet: Sheet) -> Iterator[_Step]:
    """Corrections on the day they were entered, without that column."""
    headings, *rows = sheet.rows
    at = headings.cells.index("entered")
    days: dict[date, list[Row]] = defaultdict(list)
    for row in rows:
        days[date.fromisoformat(row.cells[at])].append(row)
    for day, found in days.items():
        lines = (replace(r, cells=_but(r.cells, at)) for r in (headings, *found))
        yield _Step(day, replace(sheet, rows=tuple(lines)))


_STEPS = {
    "supports.csv": _by_life,
    "inspections.csv": _by_year,
    "works.csv": _by_year,
    "corrections.csv": _by_entry,
}


def _without(row: Row, columns: set[int]) -> Row:
    cells = ("" if n in columns else cell for n, cell in enumerate(row.cells))
    return replace(row, cells=tuple(cells))


def _but(cells: tuple[str, ...], at: int) -> tuple[str, ...]:
    return cells[:at] + cells[at + 1 :]


def _evening(on: date) -> datetime:
    local = datetime.combine(on, _CLOSING_TIME, ZoneInfo(TIMEZONE))
    return local.astimezone(UTC)
