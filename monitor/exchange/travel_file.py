"""A table of ways between sites as people keep it, from a CSV or XLSX file.

one by one   from, to, minutes         the heading of the last column names the unit
square       codes above and beside    the first cell names the unit, such as “km”

Empty cells of a square say nothing. The unit has to be said: nobody can see it.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import isfinite

from monitor.domain.rounds import Way
from monitor.errors import RowProblem
from monitor.exchange.sheet import Row, Sheet, column_letters, refused

MOST_MINUTES, MOST_KM = 600.0, 600.0
"""Longer than a day's work on the road."""

_UNITS = {
    "min": ("min", 1.0), "mins": ("min", 1.0), "minute": ("min", 1.0),
    "minutes": ("min", 1.0), "s": ("min", 1 / 60), "sec": ("min", 1 / 60),
    "seconds": ("min", 1 / 60), "h": ("min", 60.0), "hours": ("min", 60.0),
    "km": ("km", 1.0), "kilometres": ("km", 1.0), "kilometers": ("km", 1.0),
    "m": ("km", 0.001), "metres": ("km", 0.001), "meters": ("km", 0.001),
    "mi": ("km", 1.609344), "miles": ("km", 1.609344),
}  # fmt: skip
"""The unit we keep and how many of it one is; 1 mile is 1.609344 km (1959)."""


@dataclass(frozen=True, slots=True)
class TravelFile:
    """What a file says.

    Attributes
    ----------
    unit : "min" or "km"
    ways : from, to, value; in the order of the file
    """

    file_name: str
    unit: str
    ways: tuple[Way, ...]


@dataclass(frozen=True, slots=True)
class _Cell:
    row: int
    column: int
    start: str
    end: str
    text: str


def read_travel(sheet: Sheet, unit: str = "") -> TravelFile:
    """The ways of a file.

    Parameters
    ----------
    unit : what the numbers are, where the file does not say; the file wins

    Raises
    ------
    ImportRejected : naming every cell that can not be taken
    """
    first = sheet.rows[0].cells
    is_list = len(first) == 3 and (_is_number(first[2]) or _named_unit(first[2]) != "")
    said = first[2] if is_list else first[0]
    kept, factor = _unit(sheet, _named_unit(said) or unit.casefold().strip())
    has_heading = not is_list or not _is_number(first[2])
    rows = sheet.rows[1:] if has_heading else sheet.rows
    cells = _listed(rows) if is_list else _square(sheet)
    most = MOST_MINUTES if kept == "min" else MOST_KM
    ways, problems = _taken(cells, factor, most, kept)
    if problems:
        more = f", and {len(problems) - 1} more" if len(problems) > 1 else ""
        raise refused(sheet.file_name, f"{problems[0]}{more}.", tuple(problems))
    if not ways:
        raise refused(sheet.file_name, "it holds no way between two sites.")
    return TravelFile(sheet.file_name, kept, tuple(ways))


def _named_unit(heading: str) -> str:
    """The unit in a heading such as “minutes” or “way [km]”, empty if there is none."""
    words = re.findall(r"[a-z]+", heading.casefold())
    return next((word for word in words if word in _UNITS), "")


def _unit(sheet: Sheet, word: str) -> tuple[str, float]:
    if word in _UNITS:
        return _UNITS[word]
    raise refused(
        sheet.file_name,
        "it does not say whether its numbers are minutes or kilometres. Write “min” or "
        "“km” into the heading of the last column, or into the first cell of a square "
        "table.",
    )


def _listed(rows: Iterable[Row]) -> Iterator[_Cell]:
    for row in rows:
        start, end, text = (*row.cells, "", "", "")[:3]
        yield _Cell(row.number, 2, start, end, text)


def _square(sheet: Sheet) -> Iterator[_Cell]:
    codes = sheet.rows[0].cells[1:]
    for row in sheet.rows[1:]:
        start, *cells = row.cells
        for column, text in enumerate(cells, start=1):
            end = codes[column - 1] if column <= len(codes) else ""
            if text and end != start:
                yield _Cell(row.number, column, start, end, text)


def _taken(
    cells: Iterable[_Cell], factor: float, most: float, unit: str
) -> tuple[list[Way], list[RowProblem]]:
    known: dict[tuple[str, str], float] = {}
    problems = []
    for cell in cells:
        value = _value(cell.text, factor)
        before = known.get((cell.start, cell.end), value)
        expected = ""
        if not cell.start or not cell.end:
            expected = "the codes of two sites"
        elif value is None or not 0 <= value < most:
            expected = f"a number that comes to 0 to {most:.0f} {unit}"
        elif before != value:
            expected = f"the {before:g} {unit} that were said of this way before"
        if expected or value is None:
            letters = column_letters(cell.column)
            problems.append(RowProblem(cell.row, letters, cell.text, expected))
        else:
            known[cell.start, cell.end] = value
    return [(a, b, value) for (a, b), value in known.items()], problems


def _value(text: str, factor: float) -> float | None:
    return float(text) * factor if _is_number(text) else None


def _is_number(text: str) -> bool:
    try:
        return isfinite(float(text))
    except ValueError:
        return False
