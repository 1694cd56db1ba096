"""`underprop import`, `record` and `amend` as they are typed."""

import json

import pytest
from click.testing import CliRunner

from monitor.cli.__main__ import cli, exit_code
from monitor.cli.context import CliContext
from monitor.errors import MonitorError
from monitor.settings import Settings
from monitor.store import records
from monitor.store.ledger import entries
from tests.services.test_ingest import LONG, SUPPORTS, everything


@pytest.fixture
def run(store, clock, tmp_path, monkeypatch):
    """Run a command on a fresh database, in a folder of its own."""
    monkeypatch.chdir(tmp_path)
    url = f"sqlite:///{tmp_path / 'underprop.db'}"
    settings = Settings(data_folder=tmp_path, database_url=url)

    def invoke(*words, given=None):
        context = CliContext(clock=clock, given_settings=settings)
        result = CliRunner().invoke(cli, words, obj=context, input=given)
        if "store" in context.__dict__:
            context.store.close()
        return result

    return invoke


@pytest.fixture
def files(tmp_path):
    """The lists of supports and of inspections."""
    (tmp_path / "supports.csv").write_text(SUPPORTS, encoding="utf-8")
    (tmp_path / "visits.csv").write_text(LONG, encoding="utf-8")
    return tmp_path


def refused(result, code=2):
    assert isinstance(result.exception, MonitorError)
    assert exit_code(result.exception) == code
    return result.exception.message


def test_files_come_in_and_are_counted(run, files):
    first = run("import", "supports.csv")
    second = run("import", "visits.csv")
    again = run("import", "visits.csv")

    assert first.exit_code == second.exit_code == again.exit_code == 0
    assert "3 new, 0 known already, 0 refused" in first.output
    assert "3 inspections, 6 readings, 1 findings" in second.output
    assert "0 new, 7 known already, 0 refused" in again.output


def test_a_dry_run_says_what_would_be_and_writes_nothing(run, files, store):
    before = everything(store)

    result = run("import", "supports.csv", "--dry-run")

    assert "Nothing was written (--dry-run)" in result.output
    assert "It would bring 2 supports" in result.output
    assert everything(store) == before


def test_problems_are_listed_and_all_of_them_kept_in_the_rejects(run, files, store):
    rows = "".join(f"S-9{i:03},,,2012-05-14,Ines,gap,1,mm,,,,,\n" for i in range(30))
    (files / "bad.csv").write_text(LONG.splitlines()[0] + "\n" + rows)
    before = everything(store)

    result = run("import", "bad.csv", "--rejects", "rejects.csv")

    assert "none of its 30 rows is good" in refused(result)
    assert "row 2, column “support”: found “S-9000”" in result.output
    assert "and 10 more" in result.output
    assert len((files / "rejects.csv").read_text("utf-8-sig").splitlines()) == 31
    assert everything(store) == before


def test_bad_rows_are_skipped_when_told_to(run, files):
    run("import", "supports.csv")
    (files / "some.csv").write_text(LONG.replace("S-0143", "S-0999"))

    result = run("import", "some.csv", "--skip-bad")

    assert result.exit_code == 0
    assert "6 new, 0 known already, 1 refused" in result.output


def test_a_mapping_is_written_for_editing_and_used(run, files):
    run("import", "supports.csv")
    strange = LONG.replace("inspector,", "Pruefer,").replace("note\n", "Notiz\n")
    (files / "strange.csv").write_text(strange)

    assert "found “Pruefer”" in refused(run("import", "strange.csv"))
    written = run("import", "strange.csv", "--write-mapping", "map.toml")
    twice = run("import", "strange.csv", "--write-mapping", "map.toml")
    text = (files / "map.toml").read_text("utf-8")
    text = text.replace('"Pruefer" = ""', '"Pruefer" = "inspector"')
    text = text.replace('"Notiz" = ""', '"Notiz" = "note"')
    (files / "map.toml").write_text(text, encoding="utf-8")
    result = run("import", "strange.csv", "--mapping", "map.toml")

    assert "2 of them not known" in written.output
    assert "is there already" in refused(twice)
    assert "7 new" in result.output


def test_a_file_that_is_not_there_is_refused(run):
    assert "No such file" in refused(run("import", "gone.csv"))


VISIT = {
    "support": "S-0142",
    "date": "2026-05-14",
    "inspector": "Ines",
    "readings": [{"quantity": "gap", "member": "P1", "value": "0.4 mm"}],
}


def test_an_inspection_is_recorded_from_standard_input(run, files, store):
    run("import", "supports.csv")

    result = run("record", "-", given=json.dumps(VISIT))

    assert "S-0142: baseline inspection of 14 May 2026 by Ines" in result.output
    with store.read_session() as session:
        assert records.READINGS.count(session) == 1


def test_an_unknown_support_is_not_found(run, files):
    run("import", "supports.csv")

    result = run("record", "-", given=json.dumps(VISIT | {"support": "S-0124"}))

    assert "Did you mean" in refused(result, code=3)


@pytest.mark.parametrize("given", [b"\xff\xfe{", b"{", b"[]"])
def test_what_is_no_json_is_refused(run, given):
    assert refused(run("record", "-", given=given))


def test_a_reading_an_inspection_and_a_work_are_amended(run, files, store):
    run("import", "supports.csv")
    run("record", "-", given=json.dumps(VISIT))
    where = ("S-0142", "--date", "2026-05-14", "--reason", "card read again")

    reading = run(
        "amend", "reading", where[0], "gap", *where[1:], "--member", "P1",
        "--value", "0.6 mm",
    )  # fmt: skip
    visit = run("amend", "inspection", *where, "--new-note", "in the rain")
    gone = run("amend", "inspection", *where, "--withdraw")
    nothing = run("amend", "work", *where, "--withdraw")

    assert "“0.6 mm” stands now" in reading.output
    assert "is amended" in visit.output
    assert "is withdrawn" in gone.output
    assert "No work" in refused(nothing, code=3)
    with store.read_session() as session:
        actions = [entry.change.action for entry in entries(session)]
    assert actions[-3:] == [
        "reading corrected",
        "inspection amended",
        "inspection withdrawn",
    ]


def test_a_reading_is_given_a_value_or_withdrawn(run, files):
    result = run(
        "amend", "reading", "S-0142", "gap", "--date", "2026-05-14", "--reason", "x"
    )

    assert "either --value or --withdraw" in refused(result)
