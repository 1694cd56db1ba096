"""The record leaves as lists and comes back the same."""

import shutil
from datetime import UTC, datetime

import pytest

from monitor.errors import NotFound
from monitor.exchange.columns_csv import csv_bytes
from monitor.exchange.headings import FACT, column_of
from monitor.exchange.mapping import HeadingMap
from monitor.exchange.sheet import Sheet
from monitor.exchange.tables import ReadOptions, read_sheet, sheet_of
from monitor.exchange.trade_words import FileKind
from monitor.exchange.workbook_file import workbook_bytes
from monitor.services.demo import FOLDER
from monitor.services.exporting.chosen import Choice
from monitor.services.exporting.lists import READ_BACK, lists_of
from monitor.services.exporting.support_list import FACT_COLUMNS, HEAD, OF_MEMBER
from monitor.services.ingesting.ingest import ingest
from monitor.services.ingesting.rows import IngestOptions
from monitor.store import Store
from tests.quick_hash import quicken

NOW = datetime(2026, 6, 1, 12, tzinfo=UTC)
SUPPORTS = ("P-12", "J-02")


def part_of(file: str, codes: tuple[str, ...]) -> Sheet:
    """The rows of a demo file that speak of these supports, up to today."""
    sheet = read_sheet(FOLDER / file, ReadOptions())
    head, *rows = sheet.rows
    at = head.cells.index("support")
    day = next((i for i, c in enumerate(head.cells) if c == "date"), None)
    kept = [
        row
        for row in rows
        if row.cells[at] in codes
        and (day is None or row.cells[day] <= NOW.date().isoformat())
    ]
    return Sheet(file, sheet.sha256, (head, *kept))


def take_in(store, sheet: Sheet):
    options = IngestOptions(mapping=HeadingMap(headings={"entered": "ignore"}))
    with store.write_session() as session:
        return ingest(session, sheet, options, actor="test", now=NOW)


@pytest.fixture(scope="module")
def demo_codes():
    sheet = read_sheet(FOLDER / "works.csv", ReadOptions())
    at = sheet.rows[0].cells.index("support")
    worked_on = dict.fromkeys(row.cells[at] for row in sheet.rows[1:])
    return (*SUPPORTS, *list(worked_on)[:2])


@pytest.fixture(scope="module")
def full(demo_codes, migrated_file, tmp_path_factory):
    path = tmp_path_factory.mktemp("full") / "full.db"
    shutil.copy(migrated_file, path)
    store = Store(f"sqlite:///{path}")
    with pytest.MonkeyPatch.context() as patch:
        quicken(patch)
        for name in ("supports", "inspections", "works", "corrections"):
            sheet = part_of(f"{name}.csv", demo_codes)
            if len(sheet.rows) > 1:
                take_in(store, sheet)
        yield store
    store.close()


def exported(store, choice: Choice | None = None):
    with store.read_session() as session:
        return lists_of(session, choice or Choice())


@pytest.fixture
def empty(migrated_file, tmp_path):
    path = tmp_path / "empty.db"
    shutil.copy(migrated_file, path)
    store = Store(f"sqlite:///{path}")
    yield store
    store.close()


@pytest.mark.parametrize("form", ["xlsx", "csv"])
def test_what_was_exported_comes_back_with_equal_records(full, empty, form):
    before = exported(full)
    book = workbook_bytes(before, NOW)
    by_name = {table.name: table for table in before}

    for name in READ_BACK:
        if form == "xlsx":
            sheet = sheet_of("record.xlsx", book, ReadOptions(sheet=name))
        else:
            sheet = sheet_of(f"{name}.csv", csv_bytes(by_name[name]), ReadOptions())
        take_in(empty, sheet)
    after = {table.name: table for table in exported(empty)}

    assert len(by_name["supports"].rows) > 5
    assert len(by_name["inspections"].rows) > 200
    assert len(by_name["works"].rows) > 3
    for name in READ_BACK:
        assert after[name].rows == by_name[name].rows
    numbers = [row[:-1] for row in by_name["readings"].rows]
    assert [row[:-1] for row in after["readings"].rows] == numbers


def test_taking_the_workbook_in_where_it_came_from_changes_nothing(full):
    book = workbook_bytes(exported(full), NOW)

    for name in READ_BACK:
        sheet = sheet_of("record.xlsx", book, ReadOptions(sheet=name))
        assert take_in(full, sheet).taken == 0


def test_every_heading_is_read_back_as_what_it_is():
    for column in (*HEAD, *OF_MEMBER):
        found = column_of(FileKind.SUPPORTS, column.heading, 0)
        assert found is not None, column.heading
        assert found.field == column.name

    for column in FACT_COLUMNS:
        found = column_of(FileKind.SUPPORTS, column.heading, 0)
        assert (found.field, found.name) == (FACT, column.name), column.heading


def test_one_site_is_exported_alone(full):
    whole = {table.name: table for table in exported(full)}
    site = whole["supports"].rows[0][1]

    some = {table.name: table for table in exported(full, Choice(site=site))}

    assert {row[1] for row in some["supports"].rows} == {site}
    assert 0 < len(some["inspections"].rows) < len(whole["inspections"].rows)


def test_a_site_that_is_not_there_is_named(full):
    with pytest.raises(NotFound, match="nowhere"):
        exported(full, Choice(site="nowhere"))


def test_the_dictionary_explains_every_column(store):
    tables = exported(store)

    told = {(row[0], row[1]) for row in tables[-1].rows}

    assert told == {(t.name, c.name) for t in tables[:-1] for c in t.columns}
    assert all(row[4] for row in tables[-1].rows)
