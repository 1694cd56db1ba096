"""Bad rows on their way back to whoever can mend them."""

import csv
from collections.abc import Iterable
from pathlib import Path

from monitor.errors import RowProblem

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def write_rejects(path: Path, problems: Iterable[RowProblem]) -> None:
    """Write row, column, found and expected of each problem as CSV."""
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(("row", "column", "found", "expected"))
        for problem in problems:
            texts = (problem.column, problem.found, problem.expected)
            writer.writerow((problem.row, *map(safe_cell, texts)))


def safe_cell(text: str) -> str:
    """A text that no spreadsheet takes for a formula; numbers stay as they are.

    Examples
    --------
    >>> safe_cell("=1+2"), safe_cell("-12.5")
    ("'=1+2", '-12.5')
    """
    if not text.startswith(_FORMULA_STARTS) or _is_number(text):
        return text
    return f"'{text}"


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
