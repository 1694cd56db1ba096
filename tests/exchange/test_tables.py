"""Reading files as they come: clean, untidy and broken."""

import contextlib
import io
import zipfile
from datetime import date, datetime

import pytest
import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st

from monitor.errors import ImportRejected, RowProblem
from monitor.exchange.rejects import safe_cell, write_rejects
from monitor.exchange.tables import ReadOptions, read_sheet, sheet_of

PLAIN = "support,date,note\nS-1,2020-01-02,fine\n"


def cells(content, name="list.csv", **options):
    if isinstance(content, str):
        content = content.encode()
    sheet = sheet_of(name, content, ReadOptions(**options))
    return [(row.number, row.cells) for row in sheet.rows]


def refusal(content, name="list.csv", **options):
    with pytest.raises(ImportRejected) as caught:
        cells(content, name, **options)
    assert "nothing was written" in caught.value.message
    return caught.value


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_the_usual_dialects_of_csv_read_the_same(delimiter, newline, encoding):
    text = PLAIN.replace(",", delimiter).replace("\n", newline)

    assert cells(text.encode(encoding)) == [
        (1, ("support", "date", "note")),
        (2, ("S-1", "2020-01-02", "fine")),
    ]


def test_semicolons_are_told_from_decimal_commas():
    assert cells("support;value\nS-1;1,5\nS-2;2,0\n")[1] == (2, ("S-1", "1,5"))


def test_quoted_line_breaks_keep_the_line_numbers_of_the_file():
    rows = cells('support,note\nS-1,"two\nlines"\nS-2,one\n')

    assert [number for number, _ in rows] == [1, 2, 4]


def test_another_encoding_is_refused_with_its_line_and_taken_when_named():
    content = "support,note\nS-1,ok\nS-2,Größe\n".encode("cp1252")

    assert "line 3 is not utf-8" in refusal(content).message
    assert cells(content, encoding="cp1252")[2] == (3, ("S-2", "Größe"))
    assert "no encoding known" in refusal(content, encoding="latin-99").message


def test_an_unclosed_quotation_mark_is_refused_with_its_line():
    rows = "".join(f"S-{i},fine\n" for i in range(1000))

    assert "from line 2 on" in refusal(f'support,note\nS-0,"open\n{rows}').message


def test_a_quotation_mark_closed_by_one_far_below_swallows_no_rows():
    rows = "".join(f"S-{i},fine\n" for i in range(1000))

    assert "from line 2 on" in refusal(f'a,b\nx,"open\n{rows}y,"z"\n').message


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "it is empty"),
        (b"\n\n,,\n", "no cell holds anything"),
        (b"a,b\n1,\x00\n", "line 2 holds a zero byte"),
        (b"a," + b"x" * 200_000 + b"\n", "line 1"),
        (b",".join(b"h" for _ in range(10_000)), "10000 cells"),
        (b"a,b\n=1+2,x\n", "first row 2, column “A”: found “=1+2”"),
        (b'a,b\n"\t=1+2",x\n', "the text of a formula"),
        (b"\xd0\xcf\x11\xe0" + b"0" * 600, "old .xls"),
        (b"%PDF-1.7 ...", "a PDF"),
        (b"PK\x03\x04 and no more", "not written to its end"),
    ],
)
def test_what_can_not_be_a_table_is_refused_in_words(content, said):
    assert said in refusal(content).message


def test_a_file_of_60_mb_is_refused_before_it_is_read(tmp_path):
    path = tmp_path / "large.csv"
    with path.open("wb") as file:
        file.truncate(60_000_000)

    with pytest.raises(ImportRejected, match="60 MB, more than the 50 MB"):
        read_sheet(path, ReadOptions())


def test_a_file_that_is_not_there_is_refused_in_words(tmp_path):
    with pytest.raises(ImportRejected, match="No such file"):
        read_sheet(tmp_path / "gone.csv", ReadOptions())


def test_an_apostrophe_before_a_sign_marks_plain_text():
    assert cells("a,b\n'=1+2,-12.5\n")[1] == (2, ("=1+2", "-12.5"))


@given(st.binary(max_size=300))
def test_any_bytes_are_a_table_or_a_refusal(content):
    with contextlib.suppress(ImportRejected):
        assert cells(content)


def workbook(fill):
    content = io.BytesIO()
    with xlsxwriter.Workbook(content) as book:
        fill(book)
    return content.getvalue()


def test_a_workbook_gives_dates_numbers_and_merged_cells_as_text():
    def fill(book):
        book.add_worksheet("empty")
        sheet = book.add_worksheet("list")
        day = book.add_format({"num_format": "dd/mm/yy"})
        sheet.write_row(0, 0, ["support", "date", "value", "ok"])
        sheet.merge_range(1, 0, 2, 0, "S-1")
        sheet.write_datetime(1, 1, datetime(2015, 4, 3), day)  # noqa: DTZ001 - a cell
        sheet.write_datetime(2, 1, date(2016, 4, 3), day)
        sheet.write(1, 2, 0.1 + 0.2)
        sheet.write(2, 2, 4.0)
        sheet.write(2, 3, True)
        sheet.write_formula(1, 3, "=1+1", None, 2)

    assert cells(workbook(fill), "list.xlsx") == [
        (1, ("support", "date", "value", "ok")),
        (2, ("S-1", "2015-04-03", "0.3", "2")),
        (3, ("S-1", "2016-04-03", "4", "yes")),
    ]


def test_a_sheet_is_chosen_by_name():
    def fill(book):
        book.add_worksheet("old").write(0, 0, "a")
        book.add_worksheet("new").write(0, 0, "b")

    content = workbook(fill)

    assert cells(content, sheet="new") == [(1, ("b",))]
    assert "no sheet “newer”, but old, new" in refusal(content, sheet="newer").message


def test_an_error_in_a_cell_is_refused_with_the_cell():
    def fill(book):
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, ["a", "b"])
        sheet.write_formula(1, 1, "=1/0", None, "#DIV/0!")

    no = refusal(workbook(fill), "list.xlsx")

    assert [(p.row, p.column) for p in no.problems] == [(2, "B")]


def test_a_formula_that_was_never_computed_is_refused_with_the_cell():
    def fill(book):
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, ["a", "b"])
        sheet.write_formula(4, 0, "=A1", None, "")

    no = refusal(workbook(fill), "list.xlsx")

    assert [(p.row, p.column) for p in no.problems] == [(5, "A")]
    assert "never computed" in no.message


@pytest.mark.parametrize("share", [0.3, 0.6, 0.95])
def test_a_half_written_workbook_is_refused(share):
    content = workbook(lambda book: book.add_worksheet().write(0, 0, "a"))

    no = refusal(content[: int(len(content) * share)], "list.xlsx")

    assert "not written to its end" in no.message


def test_a_damaged_workbook_is_refused():
    content = workbook(lambda book: book.add_worksheet().write(0, 0, "a"))
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        start = archive.getinfo("xl/worksheets/sheet1.xml").header_offset
    damaged = bytearray(content)
    damaged[start + 80] ^= 0xFF

    assert "the workbook is damaged" in refusal(bytes(damaged)).message


def test_other_archives_are_refused_kindly():
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")

    assert (
        "an OpenDocument file; save it as .xlsx" in refusal(content.getvalue()).message
    )


def test_an_empty_workbook_is_refused():
    content = workbook(lambda book: book.add_worksheet())

    assert "all its sheets are empty" in refusal(content).message


HOSTILE = ['=HYPERLINK("http://x","y")', "+1+2", "-1-2", "@SUM(1)", "\t=1", "\r=1"]


@pytest.mark.parametrize("text", HOSTILE)
def test_rejects_hold_no_formula(tmp_path, text):
    path = tmp_path / "rejects.csv"
    write_rejects(path, [RowProblem(7, "note", text, "no formula")])

    (_, (_, row)) = cells(path.read_bytes())
    assert row[2] == text
    assert safe_cell(text).startswith("'")


@pytest.mark.parametrize("text", ["-12.5", "-0.1278", "plain", ""])
def test_numbers_and_plain_text_stay_as_they_are(text):
    assert safe_cell(text) == text
