"""Rows of a table on their way in: cells by field, what became of each, and why."""

from collections import Counter
from collections.abc import Callable, Container, Iterable
from dataclasses import dataclass, field
from datetime import date

from monitor.errors import RowProblem
from monitor.exchange.dates import civil_date
from monitor.exchange.headings import FACT, READING, Column
from monitor.exchange.mapping import HeadingMap
from monitor.exchange.sheet import Row
from monitor.exchange.table import Table
from monitor.services.recording.checks import Doubt, Problem, near, plain
from monitor.store import Session, records

Progress = Callable[[int, int], None]


def no_progress(_done: int, _all: int) -> None:
    """Tell nobody."""


@dataclass(frozen=True, slots=True)
class IngestOptions:
    """How a file is taken in.

    Attributes
    ----------
    dates : "dmy" or "mdy", for dates such as 03/04/2015; the mapping may say it
    skip_bad : take the good rows when there are bad ones
    strict : treat what is only surprising as wrong
    dry_run : check everything, write nothing
    timezone : of new sites that name none
    mapping : what a person says of the headings
    progress : told how much is done of how much
    """

    dates: str = ""
    skip_bad: bool = False
    strict: bool = False
    dry_run: bool = False
    timezone: str = "UTC"
    mapping: HeadingMap = field(default_factory=HeadingMap)
    progress: Progress = no_progress


@dataclass(slots=True)
class Tally:
    """What became of the rows.

    Attributes
    ----------
    bad, new : numbers of the rows that are wrong, and that bring something new
    made : how many records of each kind would be written
    """

    problems: list[RowProblem] = field(default_factory=list)
    warnings: list[RowProblem] = field(default_factory=list)
    bad: set[int] = field(default_factory=set)
    new: set[int] = field(default_factory=set)
    made: Counter[str] = field(default_factory=Counter)

    def wrong(self, row: int, column: str, found: str, expected: str) -> None:
        """Note what is wrong with one cell."""
        self.problems.append(RowProblem(row, column, found, expected))
        self.bad.add(row)

    def doubtful(self, row: int, column: str, found: str, question: str) -> None:
        """Note what is only surprising."""
        self.warnings.append(RowProblem(row, column, found, question))


@dataclass(frozen=True, slots=True)
class Origin:
    """Where something stands in the file; `column` is its own one in a wide file."""

    row: int
    column: Column | None = None


class Reader:
    """Reads the cells of a table by our fields.

    Parameters
    ----------
    table : with its columns made out
    options : order of day and month, and what counts as wrong
    tally : takes what can not be read
    """

    def __init__(self, table: Table, options: IngestOptions, tally: Tally) -> None:
        self.table = table
        self.options = options
        self.tally = tally
        self._plain = [c for c in table.columns if c.field not in (READING, FACT)]
        facts = {c.name: c.heading for c in table.columns if c.field == FACT}
        self._headings = facts | {c.field: c.heading for c in self._plain}
        self.units = {c.field: c.unit for c in self._plain}

    def cells(self, row: Row) -> dict[str, str]:
        """Text by field; fields without a column are not there."""
        return {c.field: row.cells[c.index] for c in self._plain}

    def named(self, row: Row, kind: str) -> list[tuple[Column, str]]:
        """Facts, or readings of a wide file, that the row says something of."""
        columns = (c for c in self.table.columns if c.field == kind)
        return [(c, row.cells[c.index]) for c in columns if row.cells[c.index]]

    def heading(self, name: str, origin: Origin) -> str:
        """The heading to blame for a field."""
        if origin.column is not None and name not in self._headings:
            return origin.column.heading
        return self._headings.get(name, name)

    def day(self, row: Row, name: str, text: str) -> date | None:
        """The date in a cell; None, with a problem noted, if it is none."""
        found = civil_date(text, self.options.dates)
        if isinstance(found, date):
            return found
        self.tally.wrong(
            row.number, self.heading(name, Origin(row.number)), text, found
        )
        return None

    def optional_day(self, row: Row, name: str, text: str) -> date | None:
        """As `day`; nothing for an empty cell."""
        return self.day(row, name, text) if text else None

    def blame(self, problem: Problem, origins: Iterable[Origin]) -> None:
        """Note a problem in every row that it stands in."""
        for origin in origins:
            heading = self.heading(problem.field, origin)
            self.tally.wrong(origin.row, heading, problem.found, problem.expected)

    def question(self, doubt: Doubt, origin: Origin) -> None:
        """Note a question; a strict import takes it for a fault."""
        heading = self.heading(doubt.field, origin)
        if self.options.strict:
            expected = f"nothing doubtful: {doubt.question}"
            self.tally.wrong(origin.row, heading, doubt.found, expected)
        else:
            self.tally.doubtful(origin.row, heading, doubt.found, doubt.question)


def blame_unknown(
    session: Session,
    reader: Reader,
    asked: Iterable[tuple[str, list[int]]],
    known: Container[str],
) -> None:
    """Note every row that names a support which is not in the record.

    Parameters
    ----------
    asked : codes, each with the rows that name it
    known : codes that are in the record, plain
    """
    missing = [(code, rows) for code, rows in asked if plain(code) not in known]
    codes = [s.code for s in records.SUPPORTS.all(session)] if missing else []
    hints = {code: near(code, codes) for code, _ in missing}
    for code, rows in missing:
        expected = f"the code of a support in the record{hints[code]}"
        for row in rows:
            heading = reader.heading("support", Origin(row))
            reader.tally.wrong(row, heading, code, expected)


def with_heading_unit(text: str, unit: str) -> str:
    """A number with the unit of its heading, where it has letters of none."""
    if not text or not unit or any(c.isalpha() or c in "°%\"'" for c in text):
        return text
    return f"{text} {unit}"


def split_list(text: str) -> tuple[str, ...]:
    """The items of a list in one cell, set off by semicolons."""
    return tuple(item.strip() for item in text.split(";") if item.strip())
