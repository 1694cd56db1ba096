"""CSV as people's programs write it: three delimiters, two encodings, no surprises.

A cell that begins with “=” is the text of a formula, whose value the file does not
hold; it is refused. An apostrophe before = + - @ is the usual way to say that the rest
is plain text, and is taken off.
"""

import codecs
import csv
import io
from collections import Counter
from collections.abc import Iterator

from monitor.errors import ImportRejected, RowProblem
from monitor.exchange.sheet import MOST_COLUMNS, column_letters, refused, tidy

_DELIMITERS = (";", "\t", ",")
_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
MOST_LINES_IN_A_CELL = 20
LONGEST_CELL = 100_000

Cells = tuple[int, tuple[str, ...]]


def csv_rows(file_name: str, content: bytes, encoding: str) -> list[Cells]:
    """Line numbers and cells of a CSV file.

    Raises
    ------
    ImportRejected : naming the line and what is wrong with it
    """
    text = decoded(file_name, content, encoding)
    delimiter = sniffed(text)
    rows = list(_rows(file_name, text, delimiter))
    formulas = tuple(
        RowProblem(number, column_letters(i), cell[:40], "a value, not a formula")
        for number, cells in rows
        for i, cell in enumerate(cells)
        if cell.startswith("=")
    )
    if formulas:
        raise refused(
            file_name,
            f"{len(formulas)} cells hold the text of a formula, first {formulas[0]}. "
            "Save the values instead, or write an apostrophe before the text.",
            formulas,
        )
    return [(number, tuple(map(_as_text, cells))) for number, cells in rows]


def decoded(file_name: str, content: bytes, encoding: str) -> str:
    """The text of a file, in the encoding its mark, the user or UTF-8 says."""
    marked = next((name for mark, name in _MARKS if content.startswith(mark)), "")
    name = encoding or marked or "utf-8"
    try:
        text = content.decode(name)
    except LookupError as error:
        raise refused(file_name, f"“{name}” is no encoding known here.") from error
    except UnicodeError as error:
        start = getattr(error, "start", 0)
        line = content[:start].count(b"\n") + 1
        raise refused(
            file_name,
            f"line {line} is not {name}: {content[start : start + 4]!r}. Save it as "
            "UTF-8, or name its encoding, such as --encoding cp1252.",
        ) from error
    if "\x00" in text:
        line = text[: text.index("\x00")].count("\n") + 1
        raise refused(
            file_name,
            f"line {line} holds a zero byte: it is damaged, or UTF-16 without its "
            "mark (--encoding utf-16-le).",
        )
    return text


def sniffed(text: str) -> str:
    """The delimiter that splits most lines into the same, largest number of cells."""
    start = text[:100_000].splitlines()[:60]

    def score(delimiter: str) -> int:
        widths = Counter(line.count(delimiter) for line in start if delimiter in line)
        return max((n * lines for n, lines in widths.items()), default=0)

    return max(_DELIMITERS, key=score)


def _rows(file_name: str, text: str, delimiter: str) -> Iterator[Cells]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    while True:
        number = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise _misquoted(file_name, number, str(error)) from error
        if reader.line_num - number > MOST_LINES_IN_A_CELL:
            raise _misquoted(file_name, number, "one row runs over many lines")
        if len(cells) > MOST_COLUMNS:
            raise refused(
                file_name,
                f"line {number} has {len(cells)} cells, more than {MOST_COLUMNS}.",
            )
        if any(len(cell) > LONGEST_CELL for cell in cells):
            raise refused(file_name, f"line {number} has a cell of enormous length.")
        yield number, tuple(map(tidy, cells))


def _misquoted(file_name: str, number: int, detail: str) -> ImportRejected:
    return refused(
        file_name,
        f"from line {number} on the quotation marks do not close ({detail}). Close or "
        "double the quotation mark in that line.",
    )


def _as_text(cell: str) -> str:
    """The cell without the one apostrophe that an export puts before = + - @."""
    bare = cell.lstrip("'")
    is_guarded = cell.startswith("'") and bare[:1] in tuple("=+-@\t\r")
    return cell[1:] if is_guarded else cell
