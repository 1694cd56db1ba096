"""Lists on their way out: nothing becomes a formula, nothing is lost."""

import csv
import io
import zipfile
from datetime import UTC, date, datetime

import pyarrow.parquet as pq
import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.errors import InvalidInput
from monitor.exchange.columns import (
    CellKind,
    OutColumn,
    OutTable,
    guarded,
    number_or_text,
)
from monitor.exchange.columns_csv import csv_bytes
from monitor.exchange.columns_parquet import parquet_bytes
from monitor.exchange.tables import ReadOptions, sheet_of
from monitor.exchange.workbook_file import workbook_bytes

NOW = datetime(2026, 6, 1, 12, tzinfo=UTC)
DANGEROUS = (
    '=HYPERLINK("http://x.example","y")',
    "+1",
    "-1",
    "@SUM(1)",
    "'=1",
    "''=1",
    "it's",
    "'",
    "='a'!b",
)


def a_list(*notes: str, number: float = -12.5) -> OutTable:
    columns = (
        OutColumn("note", CellKind.TEXT, "words"),
        OutColumn("longitude", CellKind.NUMBER, "WGS 84", "deg"),
    )
    return OutTable("notes", "", columns, tuple((note, number) for note in notes))


def cells(content: bytes, name: str) -> list[tuple[str, ...]]:
    return [row.cells for row in sheet_of(name, content, ReadOptions()).rows][1:]


@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_a_text_that_looks_like_a_formula_comes_back_as_it_was(form):
    table = a_list(*DANGEROUS, number=-0.1278)
    content = csv_bytes(table) if form == "csv" else workbook_bytes((table,), NOW)

    found = cells(content, f"notes.{form}")

    assert found == [(note, "-0.1278") for note in DANGEROUS]


def test_no_cell_of_a_workbook_is_a_formula_or_a_link():
    content = workbook_bytes((a_list(*DANGEROUS, "https://x.example"),), NOW)

    with zipfile.ZipFile(io.BytesIO(content)) as book:
        sheet = book.read("xl/worksheets/sheet1.xml")

    assert b"<f>" not in sheet
    assert b"hyperlink" not in sheet
    assert b'<pane ySplit="1"' in sheet


def test_no_text_of_a_csv_begins_like_a_formula_and_numbers_stay_numbers():
    text = csv_bytes(a_list(*DANGEROUS)).decode("utf-8-sig")

    rows = list(csv.reader(io.StringIO(text)))[1:]

    assert not any(row[0].startswith(("=", "+", "-", "@")) for row in rows)
    assert {row[1] for row in rows} == {"-12.5"}


@given(st.text(alphabet="'=+-@a1 ", min_size=1).filter(lambda t: t == t.strip()))
def test_the_import_takes_off_exactly_what_the_export_put_on(text):
    content = csv_bytes(a_list(text))

    assert cells(content, "notes.csv")[0][0] == text
    assert not guarded(text).startswith(("=", "+", "-", "@"))


@given(st.decimals(-1000, 1000, places=3).map(str))
def test_a_measure_becomes_a_number_only_if_it_reads_back_the_same(figures):
    found = number_or_text(f"{figures} mm", "mm")

    back = found if isinstance(found, str) else f"{found:.15g} mm"
    assert back == f"{figures} mm"


def test_a_fraction_of_an_inch_stays_as_it_was_typed():
    assert number_or_text('14 ft 7"', "mm") == '14 ft 7"'
    assert number_or_text("14.0 mm", "mm") == "14.0 mm"


def test_a_right_to_left_name_an_emoji_and_quotes_travel(tmp_path):
    notes = ('"Old" O\'Leary', "שדרת האלון", "🌳 oak", "a\nb", "x" * 4000)
    table = a_list(*notes)

    assert [row[0] for row in cells(csv_bytes(table), "n.csv")] == list(notes)
    book = workbook_bytes((table,), NOW)
    assert [row[0] for row in cells(book, "n.xlsx")] == list(notes)


def test_a_text_too_long_for_a_cell_is_refused_and_not_cut():
    with pytest.raises(InvalidInput, match="fits no cell"):
        workbook_bytes((a_list("x" * 40_000),), NOW)


def test_parquet_keeps_types_units_and_meaning():
    columns = (
        OutColumn("value", CellKind.NUMBER, "as read", "mm"),
        OutColumn("date", CellKind.DAY, "civil date"),
        OutColumn("typed", CellKind.TYPED, "as typed"),
    )
    table = OutTable("readings", "m", columns, ((1.5, date(1964, 5, 1), 14.0),))

    found = pq.read_table(io.BytesIO(parquet_bytes(table)))

    assert found.to_pylist() == [
        {"value": 1.5, "date": date(1964, 5, 1), "typed": "14"}
    ]
    assert found.schema.field("value").metadata[b"unit"] == b"mm"
    assert found.schema.field("date").metadata[b"meaning"] == b"civil date"


def test_a_day_before_the_count_of_workbooks_stays_readable():
    columns = (OutColumn("date", CellKind.DAY, ""),)
    rows = ((date(1899, 12, 31),), (date(1964, 5, 1),))
    book = workbook_bytes((OutTable("days", "", columns, rows),), NOW)

    assert cells(book, "d.xlsx") == [("1899-12-31",), ("1964-05-01",)]
