"""Lists as one XLSX workbook: a sheet a list, headings frozen, cells with their types.

Text is written as text, so no cell is a formula or a link.
"""

import io
from datetime import UTC, date, datetime

import xlsxwriter  # type: ignore[import-untyped]
from xlsxwriter.format import Format  # type: ignore[import-untyped]
from xlsxwriter.worksheet import Worksheet  # type: ignore[import-untyped]

from monitor.errors import InvalidInput
from monitor.exchange.columns import Cell, OutTable

LONGEST_TEXT = 32_767  # of a cell; ISO/IEC 29500 leaves it open, programs keep this
MOST_ROWS = 1_048_575  # below the headings, the same
_WIDTHS = (9, 46)


def workbook_bytes(tables: tuple[OutTable, ...], made_at: datetime) -> bytes:
    """The lists as a workbook.

    Raises
    ------
    InvalidInput : a list or a text is larger than a sheet or a cell can be
    """
    out = io.BytesIO()
    options = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    with xlsxwriter.Workbook(out, options) as book:
        naive = made_at.astimezone(UTC).replace(tzinfo=None)
        book.set_properties({"title": "Underprop", "created": naive})
        bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
        day = book.add_format({"num_format": "yyyy-mm-dd"})
        for table in tables:
            _write(book.add_worksheet(table.name), table, bold, day)
    return out.getvalue()


def _write(sheet: Worksheet, table: OutTable, bold: Format, day: Format) -> None:
    if len(table.rows) > MOST_ROWS:
        raise InvalidInput(
            f"{table.name} has {len(table.rows):,} rows, more than a sheet holds; "
            "export one site, or CSV or Parquet.",
            code="exp-001",
        )
    for i, column in enumerate(table.columns):
        sheet.write_string(0, i, column.heading, bold)
        sheet.write_comment(0, i, column.meaning)
        longest = max((len(str(row[i] or "")) for row in table.rows[:200]), default=0)
        least, most = _WIDTHS
        sheet.set_column(i, i, min(max(longest, len(column.name), least), most) + 1)
    for number, row in enumerate(table.rows, 1):
        for i, cell in enumerate(row):
            _write_cell(sheet, (number, i), cell, day)
    sheet.freeze_panes(1, 0)
    sheet.autofilter(0, 0, max(len(table.rows), 1), len(table.columns) - 1)
    sheet.repeat_rows(0)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)


def _write_cell(sheet: Worksheet, at: tuple[int, int], cell: Cell, day: Format) -> None:
    if cell is None or cell == "":
        return
    if isinstance(cell, bool):
        sheet.write_string(*at, "yes" if cell else "no")
    elif isinstance(cell, int | float):
        sheet.write_number(*at, cell)
    elif isinstance(cell, datetime):
        sheet.write_string(*at, cell.astimezone(UTC).isoformat(timespec="seconds"))
    elif isinstance(cell, date):
        _write_day(sheet, at, cell, day)
    elif len(cell) > LONGEST_TEXT:
        raise InvalidInput(
            f"A text of {len(cell):,} letters fits no cell of a workbook; export CSV.",
            code="exp-001",
        )
    else:
        sheet.write_string(*at, cell)


def _write_day(sheet: Worksheet, at: tuple[int, int], cell: date, day: Format) -> None:
    """Days before 1 March 1900 stay text: workbooks count those wrongly."""
    if cell < date(1900, 3, 1):
        sheet.write_string(*at, cell.isoformat())
    else:
        sheet.write_datetime(*at, cell, day)
