"""From a sheet to a table: where the headings stand, and what each column is."""

import difflib
from dataclasses import dataclass, replace

from monitor.errors import ImportRejected, RowProblem
from monitor.exchange.headings import (
    IGNORED,
    READING,
    Column,
    column_of,
    known_headings,
    plain,
)
from monitor.exchange.mapping import HeadingMap
from monitor.exchange.sheet import Row, Sheet, column_letters, refused
from monitor.exchange.trade_words import REQUIRED, FileKind

ROWS_ABOVE_HEADINGS = 30
MOSTLY_KNOWN = 0.5


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under headings that are understood.

    Attributes
    ----------
    columns : those that are not ignored
    ragged : rows that have more cells than there are headings
    """

    kind: FileKind
    file_name: str
    sha256: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    ragged: tuple[RowProblem, ...]

    @property
    def is_wide(self) -> bool:
        """Whether a row holds a whole inspection."""
        return any(column.field == READING for column in self.columns)


def table_of(sheet: Sheet, mapping: HeadingMap) -> Table:
    """Find the headings and make out the columns.

    Rows above the headings (a title, a date, blanks) are skipped.

    Raises
    ------
    ImportRejected : naming every heading that is not known, with the nearest known
    """
    kind, at = _kind_and_place(sheet, mapping)
    headings = sheet.rows[at]
    columns, problems = _columns(kind, headings, mapping)
    problems += _twice(columns, headings.number)
    problems += _missing(kind, columns, headings.number)
    if problems:
        raise refused(
            sheet.file_name,
            f"its headings in row {headings.number} can not be used as {kind.value}. "
            + " ".join(f"{p}." for p in problems[:10])
            + " Write a mapping with --write-mapping FILE, edit it, and use it with "
            "--mapping FILE.",
            tuple(problems),
        )
    rows = sheet.rows[at + 1 :]
    if not rows:
        raise refused(sheet.file_name, "there is no row under the headings.")
    width = len(headings.cells)
    ragged = tuple(
        RowProblem(row.number, column_letters(i), cell, "nothing beyond the headings")
        for row in rows
        if len(row.cells) > width
        for i, cell in enumerate(row.cells[width:], width)
        if cell
    )
    wanted = tuple(c for c in columns if c.field != IGNORED)
    padded = tuple(_padded(row, width) for row in rows)
    return Table(kind, sheet.file_name, sheet.sha256, wanted, padded, ragged)


def guessed_columns(
    sheet: Sheet, mapping: HeadingMap
) -> tuple[FileKind, dict[str, Column | None]]:
    """What would be made of each heading, for a mapping file to be edited."""
    kind, at = _kind_and_place(sheet, mapping)
    cells = sheet.rows[at].cells
    return kind, {
        heading: _mapped(kind, heading, i, mapping)
        for i, heading in enumerate(cells)
        if heading
    }


def headings_row(sheet: Sheet, mapping: HeadingMap) -> int:
    """Index of the row that holds the headings."""
    return _kind_and_place(sheet, mapping)[1]


def _kind_and_place(sheet: Sheet, mapping: HeadingMap) -> tuple[FileKind, int]:
    """Which kind of file it is, and which of its rows holds the headings."""
    kinds = [mapping.kind] if mapping.kind else list(FileKind)
    places = [
        (*_fit(kind, row, mapping), -at, kind)
        for at, row in enumerate(sheet.rows[:ROWS_ABOVE_HEADINGS])
        for kind in kinds
    ]
    known, has_all, minus_at, kind = max(places, key=lambda place: place[:3])
    cells = sum(map(bool, sheet.rows[-minus_at].cells))
    if mapping.kind is None and not has_all and known < MOSTLY_KNOWN * cells:
        raise ImportRejected(
            f"{sheet.file_name} was refused, nothing was written: its headings do not "
            "tell what it holds. Say so with --kind supports, inspections, works or "
            "corrections.",
            code="imp-004",
        )
    return kind, -minus_at


def _fit(kind: FileKind, row: Row, mapping: HeadingMap) -> tuple[int, bool]:
    """How many headings of a row are known, and whether all that are wanted are."""
    found = [_mapped(kind, cell, 0, mapping) for cell in row.cells if cell]
    columns = [column for column in found if column]
    return len(columns), not _missing(kind, columns, 0)


def _columns(
    kind: FileKind, headings: Row, mapping: HeadingMap
) -> tuple[list[Column], list[RowProblem]]:
    columns, problems = [], []
    for i, heading in enumerate(headings.cells):
        if not heading:
            columns.append(Column(i, column_letters(i), IGNORED))
            continue
        column = _mapped(kind, heading, i, mapping)
        if column:
            columns.append(column)
        else:
            problems.append(_unknown(kind, heading, headings.number, i))
    return columns, problems


def _mapped(
    kind: FileKind, heading: str, index: int, mapping: HeadingMap
) -> Column | None:
    ours = mapping.headings.get(heading) or heading
    column = column_of(kind, ours, index)
    return replace(column, heading=heading) if column else None


def _unknown(kind: FileKind, heading: str, row: int, index: int) -> RowProblem:
    near = difflib.get_close_matches(plain(heading), known_headings(kind), 2, 0.6)
    nearest = " or ".join(f"“{name}”" for name in near)
    expected = f"a known heading{', perhaps ' + nearest if near else ''}"
    return RowProblem(row, column_letters(index), heading, expected)


def _twice(columns: list[Column], row: int) -> list[RowProblem]:
    seen: dict[tuple[str, str, str, str], Column] = {}
    problems = []
    for column in columns:
        first = seen.setdefault(column.key, column)
        if column.field != IGNORED and first is not column:
            expected = f"it once; “{first.heading}” is {column.canonical} as well"
            place = column_letters(column.index)
            problems.append(RowProblem(row, place, column.heading, expected))
    return problems


def _missing(kind: FileKind, columns: list[Column], row: int) -> list[RowProblem]:
    fields = {column.field for column in columns}
    missing = [name for name in REQUIRED[kind] if name not in fields]
    problems = [RowProblem(row, "", "", f"a column “{name}”") for name in missing]
    if kind is FileKind.INSPECTIONS and not (
        READING in fields or {"quantity", "value"} <= fields or "finding" in fields
    ):
        expected = "columns “quantity” and “value”, or one column for each quantity"
        problems.append(RowProblem(row, "", "", expected))
    return problems


def _padded(row: Row, width: int) -> Row:
    if len(row.cells) == width:
        return row
    return Row(row.number, (row.cells + ("",) * width)[:width])
