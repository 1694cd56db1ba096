"""A list on its way out: named columns with kind, unit and meaning, and plain cells.

A cell is a number where it can come back as the very same text, else text.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

Cell = str | float | int | bool | date | datetime | None
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


class CellKind(StrEnum):
    """What the cells of a column hold."""

    TEXT = "text"
    NUMBER = "number"
    TYPED = "number, or text as it was typed"
    WHOLE = "whole number"
    DAY = "date"
    INSTANT = "instant, UTC"
    FLAG = "yes or no"


@dataclass(frozen=True, slots=True)
class OutColumn:
    """One column of a list.

    Attributes
    ----------
    unit : of its numbers; empty for words and counts
    meaning : one line for the data dictionary
    """

    name: str
    kind: CellKind
    meaning: str
    unit: str = ""

    @property
    def heading(self) -> str:
        """Name and unit, as the import reads them back."""
        return f"{self.name} [{self.unit}]" if self.unit else self.name


@dataclass(frozen=True, slots=True)
class OutTable:
    """One list: a sheet of a workbook, a CSV file, a Parquet file."""

    name: str
    meaning: str
    columns: tuple[OutColumn, ...]
    rows: tuple[tuple[Cell, ...], ...]


def number_or_text(given: str, unit: str) -> float | str:
    """The number of a measure as typed, if number and unit give that text again.

    Examples
    --------
    >>> number_or_text("14 mm", "mm"), number_or_text("3/8 in", "mm")
    (14.0, '3/8 in')
    """
    found = _NUMBER.fullmatch(given)
    if found is None or (found[2] or "") != unit:
        return given
    number = float(found[1])
    return number if number_text(number) == found[1] else given


def number_text(number: float) -> str:
    """A number as the import reads it out of a workbook.

    Examples
    --------
    >>> number_text(14.0), number_text(-0.1278)
    ('14', '-0.1278')
    """
    return str(int(number)) if float(number).is_integer() else f"{number:.15g}"


def unit_as_typed(given: str) -> str:
    """What follows the number in a measure as typed; empty if it is not that plain."""
    found = _NUMBER.fullmatch(given)
    return (found[2] or "") if found else ""


def guarded(text: str) -> str:
    """A text that no spreadsheet takes for a formula when it opens a CSV file.

    One apostrophe goes in front; one that stood there already gets another, so that
    the import takes off exactly what was put on.

    Examples
    --------
    >>> guarded("=1+2"), guarded("'=1+2"), guarded("it's")
    ("'=1+2", "''=1+2", "it's")
    """
    return f"'{text}" if text.lstrip("'").startswith(FORMULA_STARTS) else text


def dictionary_of(tables: Iterable[OutTable]) -> OutTable:
    """What every column of every list means."""
    rows = tuple(
        (table.name, column.name, column.kind.value, column.unit, column.meaning)
        for table in tables
        for column in table.columns
    )
    columns = (
        OutColumn("list", CellKind.TEXT, "sheet or file"),
        OutColumn("column", CellKind.TEXT, "name without unit"),
        OutColumn("holds", CellKind.TEXT, "kind of its cells"),
        OutColumn("unit", CellKind.TEXT, "unit of its numbers"),
        OutColumn("meaning", CellKind.TEXT, "what it says"),
    )
    meaning = "what every column of every list means"
    return OutTable("dictionary", meaning, columns, rows)


_NUMBER = re.compile(r"(-?\d+(?:\.\d+)?)(?: ([A-Za-zµ°%]\S*))?")
