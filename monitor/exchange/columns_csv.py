"""Lists as CSV: UTF-8 with its mark, numbers bare, texts that can be no formula."""

import csv
import io
from datetime import UTC, date, datetime

from monitor.exchange.columns import Cell, OutTable, guarded, number_text


def csv_bytes(table: OutTable) -> bytes:
    """The list as a CSV file that the import reads back."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([guarded(column.heading) for column in table.columns])
    writer.writerows([_text(cell) for cell in row] for row in table.rows)
    return b"\xef\xbb\xbf" + out.getvalue().encode()


def _text(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int | float):
        return number_text(cell)
    if isinstance(cell, datetime):
        return cell.astimezone(UTC).isoformat(timespec="seconds")
    if isinstance(cell, date):
        return cell.isoformat()
    return guarded(cell)
