"""Rows of an archive as JSON Lines and as CSV.

JSON Lines are the record: nothing in them is escaped beyond JSON. CSV is for
spreadsheets: texts that would be formulas carry an apostrophe, dates and numbers never.
"""

import csv
import io
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from monitor.domain.ledger import canonical
from monitor.exchange.columns import FORMULA_STARTS, guarded

Row = Mapping[str, Any]  # JSON values by column


def json_lines(rows: Iterable[Row]) -> Iterator[bytes]:
    """One row a line."""
    for row in rows:
        text = json.dumps(
            row, ensure_ascii=False, separators=(",", ":"), allow_nan=False
        )
        yield f"{text}\n".encode()


def read_json_lines(content: bytes) -> list[dict[str, Any]]:
    """Rows of such a file."""
    return [json.loads(line) for line in content.decode().split("\n") if line]


def csv_lines(rows: Iterable[Row], columns: Sequence[str]) -> Iterator[bytes]:
    """A heading and one row a line, UTF-8; empty where there is no value."""
    yield _line(columns)
    for row in rows:
        yield _line([_cell(row[name]) for name in columns])


def unguarded(text: str) -> str:
    """The text before `guarded`: exactly what was put on is taken off."""
    bare = text.lstrip("'")
    is_guarded = text.startswith("'") and bare.startswith(FORMULA_STARTS)
    return text[1:] if is_guarded else text


def _cell(value: object) -> str:
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case int() | float():
            return canonical(value)
        case str():
            return guarded(value)
        case _:
            return guarded(canonical(value))


def _line(cells: Sequence[str]) -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out).writerow(cells)
    return out.getvalue().encode()
