"""The main job on the spreadsheets an untidy company really keeps."""

from datetime import date

import pytest
import xlsxwriter
from click.testing import CliRunner

from monitor.cli.__main__ import cli
from monitor.cli.context import CliContext
from monitor.domain.vocabulary import Answer
from monitor.settings import Settings
from monitor.store import records

PROPS = [
    ["CORBEL & FERN - PROPS AND CABLES (keep up to date!!)"],
    [],
    [
        "Owner", "Site", "Site name", "Tree no", "Species", "Tag no.", "Why",
        "Under it", "How busy", "If it fails", "Part", "Type", "Date fitted",
        "Size OD", "Wall thk (mm)", "Length", "Notes",
    ],
    [
        "The Parish", "VP1", "Well Court", "1", "oak", "PR-01", "low limb", "bench",
        "frequent", "severe", "P1", "Post", date(2012, 4, 3), '4 1/2"', "5",
        "9 ft 6 in", "bit of a lean already",
    ],
    [
        "The Parish", "VP1", "Well Court", "1", "oak", "PR-01", "low limb", "bench",
        "frequent", "severe", "C1", "Cable", date(2012, 4, 3), "3/8 in", "",
        "7.2 m", "over the path",
    ],
]  # fmt: skip
VISITS = [
    ["Tag no.", "Date", "By", "Settlement (mm)", "Lean away from stem", "Lean to side",
     "Gap at the saddle (mm)", "Remarks"],
    ["PR-01", date(2012, 4, 3), "Perran", "0", "0.1°", "0", "0", ""],
    ["PR-01", date(2015, 5, 20), "Ines", "1/16 in", "2 mm/m", "0.1°", "0", "wet"],
    ["PR-01", date(2018, 6, 1), "Ines", "2.5", "0.2°", "0.1°", "n/a", "ivy"],
    ["PR-01", date(2021, 6, 9), "Ines", "3,5 mm", "4 mm/m", "0", "no access", ""],
    ["PR-01", date(2025, 6, 9), "Odile", "5.5", "1:180", "0.1°", "1", ""],
]  # fmt: skip


def workbook(path, rows):
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet("2026")
    as_date = book.add_format({"num_format": "dd/mm/yyyy"})
    for number, row in enumerate(rows):
        for column, value in enumerate(row):
            if isinstance(value, date):
                sheet.write_datetime(number, column, value, as_date)
            elif value:
                sheet.write_string(number, column, value)
    book.close()
    return str(path)


@pytest.fixture
def run(store, clock, tmp_path):
    settings = Settings(data_folder=tmp_path, database_url=store.url)
    context = CliContext(clock=clock, given_settings=settings)

    def run(*words):
        return CliRunner().invoke(cli, words, obj=context)

    yield run
    context.store.close()


@pytest.fixture
def files(tmp_path):
    return workbook(tmp_path / "p.xlsx", PROPS), workbook(tmp_path / "v.xlsx", VISITS)


def everything(store):
    with store.read_session() as session:
        return {
            kind: repository.count(session)
            for kind, repository in vars(records).items()
            if isinstance(repository, records.Repository)
        }


def test_from_two_spreadsheets_to_which_support_moves_and_when_to_look(run, files):
    for file in files:
        assert run("import", file).exit_code == 0

    assert run("assess").output == "3 series assessed.\n"
    said = run("explain", "PR-01").output

    assert "PR-01: watch." in said
    assert "The settlement is beyond its watch limit." in said
    assert "at the latest every 12 months for a post" in said


def test_numbers_arrive_as_they_were_meant(run, store, files):
    """1/16 in = 1.5875 mm; 1:180 = 5.556 mm/m; 4 1/2 in = 114.3 mm. By hand."""
    for file in files:
        run("import", file)

    with store.read_session() as session:
        readings = records.READINGS.all(session)
        facts = records.FACTS.all(session)
    values = {reading.given: reading.value for reading in readings}
    sizes = {(fact.name, fact.given): fact.number for fact in facts}
    assert values["1/16 in"] == pytest.approx(1.5875)
    assert values["1:180"] == pytest.approx(1000 / 180)
    assert values["3,5 mm"] == pytest.approx(3.5)
    assert sizes["width_mm", '4 1/2"'] == pytest.approx(114.3)
    assert sizes["diameter_mm", "3/8 in"] == pytest.approx(9.525)
    assert sizes["length_mm", "9 ft 6 in"] == pytest.approx(2895.6)


def test_the_noes_are_kept_apart(run, store, files):
    for file in files:
        run("import", file)

    with store.read_session() as session:
        gaps = records.READINGS.all(session, records.READINGS.table.c.quantity == "gap")
    answers = [reading.answer for reading in gaps if reading.value is None]
    assert sorted(answers) == [Answer.COULD_NOT_REACH, Answer.NOT_MEASURED]


def test_remarks_of_two_rows_are_both_kept(run, store, files):
    run("import", files[0])

    with store.read_session() as session:
        (support,) = records.SUPPORTS.all(session)
    assert support.note == "bit of a lean already; over the path"


def test_taking_the_same_files_in_again_changes_nothing(run, store, files):
    for file in files:
        run("import", file)
    before = everything(store)

    for file in files:
        assert run("import", file).exit_code == 0

    again = everything(store)
    again.pop("IMPORTS"), before.pop("IMPORTS")
    assert again == before


def test_a_dry_run_writes_nothing(run, store, files):
    before = everything(store)

    assert run("import", files[0], "--dry-run").exit_code == 0

    assert everything(store) == before
