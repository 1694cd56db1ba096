"""The command that plans rounds."""

import json

import pytest
from click.testing import CliRunner

from monitor.cli.__main__ import cli
from monitor.cli.context import CliContext
from monitor.errors import InvalidInput
from monitor.settings import Settings
from monitor.store import records
from tests.build import a_support
from tests.services.test_rounds import TODAY, a_due


@pytest.fixture
def run(store, clock, tmp_path):
    context = CliContext(
        clock=clock,
        given_settings=Settings(data_folder=tmp_path, database_url=store.url),
    )
    with store.write_session() as session:
        built = a_support(session)
        records.DUES.add(session, [a_due(built.support.id, TODAY)])

    yield lambda *words: CliRunner().invoke(cli, words, obj=context)
    context.store.close()


def test_a_plan_names_the_visit_with_its_hour(run):
    said = run("plan", "--inspectors", "2", "--days", "1").output

    assert said.startswith("1 visit, ")
    assert "Tuesday 2 June 2026, Person 1: 08:00" in said
    assert "S-0142" in said


def test_the_json_says_where_the_minutes_come_from(run):
    made = json.loads(run("plan", "--inspectors", "Edda", "--json").output)

    visit = made["rounds"][0]["visits"][0]
    assert visit["minutes_source"] == "common practice, no source"
    assert made["left"] == []


def test_a_table_that_is_not_there_is_refused(run, tmp_path):
    said = run("plan", "--travel", str(tmp_path / "none.csv"))

    assert isinstance(said.exception, InvalidInput)


def test_a_plan_is_agreed_listed_and_taken_back(run):
    told = run("plan", "--inspectors", "Edda", "--days", "1", "--agree").output
    (one,) = json.loads(run("plan", "--agreed", "--json").output)

    assert "Agreed: 1 round kept, 0 as they stood, 0 taken back." in told
    assert (one["person"], one["version"]) == ("Edda", 1)
    assert [stop["support"] for stop in one["stops"]]

    where = f"Edda@{one['on']}"
    assert run("plan", "--take-back", where).exception is not None
    back = run("plan", "--take-back", where, "--reason", "Edda is ill.")
    assert back.output == "No round is agreed.\n"


def test_hours_of_a_site_are_kept_and_a_plan_keeps_them(run, store):
    with store.read_session() as session:
        code = records.SITES.all(session)[0].code

    assert run("site", "hours", code, "13:00-15:00").output == (
        f"{code} is open 13:00-15:00.\n"
    )
    made = json.loads(run("plan", "--inspectors", "Edda", "--json").output)
    assert made["rounds"][0]["visits"][0]["begins"] >= "13:00"
