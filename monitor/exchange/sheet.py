"""A table as it stands in a file: text cells with their row numbers."""

from dataclasses import dataclass

from monitor.errors import ImportRejected, RowProblem

MOST_COLUMNS = 702  # A to ZZ
MOST_SHOWN = 1000


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a file.

    Attributes
    ----------
    number : as a text editor or spreadsheet shows it, from 1
    cells : text without spaces around it; empty where there is nothing
    """

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """All rows of one sheet that hold anything.

    Attributes
    ----------
    sha256 : of the whole file
    """

    file_name: str
    sha256: str
    rows: tuple[Row, ...]


def refused(
    file_name: str, why: str, problems: tuple[RowProblem, ...] = ()
) -> ImportRejected:
    """The error for a file that can not be read."""
    return ImportRejected(
        f"{file_name} was refused, nothing was written: {why}",
        problems=problems[:MOST_SHOWN],
        code="imp-002",
    )


def column_letters(index: int) -> str:
    """What a spreadsheet calls the column of that index, from 0.

    Examples
    --------
    >>> column_letters(0), column_letters(27)
    ('A', 'AB')
    """
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def tidy(text: str) -> str:
    """A cell without spaces around it, no-break and zero-width ones included."""
    return text.strip().strip("\u00a0\u200b\ufeff").strip()
