"""Reading a spreadsheet file, CSV or XLSX, told apart by its first bytes."""

import hashlib
from dataclasses import dataclass
from pathlib import Path

from monitor.exchange.csv_file import csv_rows
from monitor.exchange.sheet import Row, Sheet, refused
from monitor.exchange.workbook import workbook_rows

_OLD_OFFICE = b"\xd0\xcf\x11\xe0"
_ZIP = b"PK\x03\x04"
_STRANGE = {b"%PDF": "a PDF", b"\x89PNG": "a picture", b"\xff\xd8\xff": "a picture"}


@dataclass(frozen=True, slots=True)
class ReadOptions:
    """How a file is to be read.

    Attributes
    ----------
    encoding : of a CSV file; empty means UTF-8, or UTF-16 where a mark says so
    sheet : of a workbook; empty means the first that holds anything
    limit_mb : largest file taken [MB]
    """

    encoding: str = ""
    sheet: str = ""
    limit_mb: int = 50


def read_sheet(path: Path, options: ReadOptions) -> Sheet:
    """The table of a file.

    Raises
    ------
    ImportRejected : naming what is wrong with the file, and where
    """
    try:
        size = path.stat().st_size
        _refuse_large(path.name, size, options)
        content = path.read_bytes()
    except OSError as error:
        raise refused(path.name, f"it can not be read: {error.strerror}.") from error
    return sheet_of(path.name, content, options)


def sheet_of(file_name: str, content: bytes, options: ReadOptions) -> Sheet:
    """The table of a file whose bytes are at hand, such as an uploaded one."""
    _refuse_large(file_name, len(content), options)
    if not content.strip():
        raise refused(file_name, "it is empty.")
    _refuse_strange(file_name, content)
    if content.startswith(_ZIP):
        rows = workbook_rows(file_name, content, options.sheet)
    else:
        rows = csv_rows(file_name, content, options.encoding)
    kept = tuple(Row(n, cells) for n, cells in rows if any(cells))
    if not kept:
        raise refused(file_name, "no cell holds anything.")
    return Sheet(file_name, hashlib.sha256(content).hexdigest(), kept)


def _refuse_large(file_name: str, size: int, options: ReadOptions) -> None:
    if size > options.limit_mb * 1_000_000:
        raise refused(
            file_name,
            f"it has {size / 1e6:.0f} MB, more than the {options.limit_mb} MB that are "
            "taken at once. Split it, or set UNDERPROP_UPLOAD_MB.",
        )


def _refuse_strange(file_name: str, content: bytes) -> None:
    if content.startswith(_OLD_OFFICE):
        raise refused(
            file_name,
            "it is an old .xls workbook or is locked with a password. Open it, save it "
            "as .xlsx or CSV without a password, and import that.",
        )
    for start, what in _STRANGE.items():
        if content.startswith(start):
            raise refused(file_name, f"it is {what}, not a table; save a CSV or .xlsx.")
