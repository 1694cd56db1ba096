"""XLSX workbooks: values as text, dates as ISO dates, nothing lost without a word.

The reader gives an empty cell for an error and for a formula that was never computed;
so both are looked for in the sheet itself, and refused.
"""

import io
import re
import zipfile
import zlib
from datetime import date, datetime
from xml.etree import ElementTree

from python_calamine import CalamineError, CalamineSheet, CalamineWorkbook

from monitor.errors import ImportRejected, RowProblem
from monitor.exchange.sheet import MOST_COLUMNS, refused, tidy

LARGEST_UNPACKED = 1_000_000_000
LARGEST_AREA = 20_000_000  # cells between A1 and the last one

Cells = tuple[int, tuple[str, ...]]


def workbook_rows(file_name: str, content: bytes, sheet: str) -> list[Cells]:
    """Row numbers and cells of one sheet of a workbook.

    Parameters
    ----------
    sheet : its name; empty means the first that holds anything

    Raises
    ------
    ImportRejected : naming the file, the sheet or the cells
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            _refuse_other_kinds(file_name, archive)
            parts = _sheet_parts(archive)
            book = CalamineWorkbook.from_filelike(io.BytesIO(content))
            name = _chosen(file_name, book, parts, archive, sheet)
            _refuse_lost_cells(file_name, name, archive.read(parts[name]))
            return _cells(book.get_sheet_by_name(name))
    except (zipfile.BadZipFile, CalamineError, ElementTree.ParseError) as error:
        raise _half_written(file_name, error) from error
    except (zlib.error, KeyError, EOFError, OSError, ValueError) as error:
        raise _half_written(file_name, error) from error


def _half_written(file_name: str, error: Exception) -> ImportRejected:
    return refused(
        file_name,
        f"the workbook is damaged or was not written to its end ({error}). Open it "
        "where it was made and save it again.",
    )


def _refuse_other_kinds(file_name: str, archive: zipfile.ZipFile) -> None:
    names = set(archive.namelist())
    if "xl/workbook.xml" not in names:
        kind = "an OpenDocument file" if "mimetype" in names else "no .xlsx workbook"
        raise refused(file_name, f"it is {kind}; save it as .xlsx or CSV.")
    if sum(info.file_size for info in archive.infolist()) > LARGEST_UNPACKED:
        raise refused(file_name, "unpacked it would be larger than 1 GB.")
    damaged = archive.testzip()
    if damaged:
        raise zipfile.BadZipFile(f"{damaged} does not match its check sum")


def _sheet_parts(archive: zipfile.ZipFile) -> dict[str, str]:
    """Path of each sheet within the workbook, by its name."""
    book = ElementTree.fromstring(archive.read("xl/workbook.xml"))
    links = ElementTree.fromstring(archive.read("xl/_rels/workbook.xml.rels"))
    targets = {link.get("Id"): link.get("Target", "") for link in links}
    parts = {}
    for element in book.iter():
        if element.tag.endswith("}sheet"):
            key = next((v for k, v in element.items() if k.endswith("}id")), None)
            target = targets.get(key, "")
            path = target.lstrip("/") if target.startswith("/") else f"xl/{target}"
            parts[element.get("name", "")] = path
    return parts


def _chosen(
    file_name: str,
    book: CalamineWorkbook,
    parts: dict[str, str],
    archive: zipfile.ZipFile,
    wanted: str,
) -> str:
    if wanted:
        if wanted not in parts:
            raise refused(
                file_name, f"it has no sheet “{wanted}”, but {', '.join(parts)}."
            )
        return wanted
    for name in book.sheet_names:
        if re.search(rb"<(?:v|t)\b", archive.read(parts[name])):
            return name
    raise refused(file_name, "all its sheets are empty.")


_REFERENCE = re.compile(rb'\br="([A-Z]+)([0-9]+)"')
_ERROR = re.compile(rb'<c\b[^>]*\bt="e"[^>]*>')
_FORMULA = re.compile(rb"<c\b[^>]*[^/]>\s*<f\b.*?</c>", re.DOTALL)
_VALUE = re.compile(rb"<v>[^<]+</v>")
_FILLED = re.compile(rb'<c\b[^>]*\br="([A-Z]+)([0-9]+)"[^>]*[^/]>')


def _refuse_lost_cells(file_name: str, sheet: str, xml: bytes) -> None:
    lost = [
        (match.group(), "a value; the formula gives an error")
        for match in _ERROR.finditer(xml)
    ]
    lost += [
        (match.group(), "a value; the formula was never computed")
        for match in _FORMULA.finditer(xml)
        if not _VALUE.search(match.group())
    ]
    problems = tuple(_problem(cell, expected) for cell, expected in lost)
    if problems:
        raise refused(
            file_name,
            f"{len(problems)} cells of the sheet “{sheet}” hold no value, first "
            f"{problems[0]}. Open it, compute it, and save the values.",
            problems,
        )
    filled = _FILLED.findall(xml)
    width = max((_index(letters) + 1 for letters in {f[0] for f in filled}), default=0)
    height = max((int(row) for _, row in filled[-1:]), default=0)
    if width > MOST_COLUMNS or width * height > LARGEST_AREA:
        raise refused(file_name, f"its cells lie too far apart ({width} columns).")


def _problem(cell: bytes, expected: str) -> RowProblem:
    found = _REFERENCE.search(cell)
    if found is None:
        return RowProblem(0, "", "", expected)
    return RowProblem(int(found[2]), found[1].decode(), "", expected)


def _index(letters: bytes) -> int:
    index = 0
    for letter in letters:
        index = index * 26 + letter - 64
    return index - 1


def _cells(sheet: CalamineSheet) -> list[Cells]:
    rows = [list(row) for row in sheet.to_python(skip_empty_area=False)]
    for (top, left), (bottom, _) in sheet.merged_cell_ranges or ():
        for row in rows[top + 1 : bottom + 1]:
            row[left] = rows[top][left]  # cells merged downwards share their value
    return [
        (number, tuple(tidy(_text(value)) for value in row))
        for number, row in enumerate(rows, 1)
    ]


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() else f"{value:.15g}"
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    return str(value)
