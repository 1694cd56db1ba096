"""The commands that say what the readings mean and what is owed."""

import json
from datetime import date

import pytest
from click.testing import CliRunner

from monitor.cli.__main__ import cli, exit_code
from monitor.cli.context import CliContext
from monitor.errors import (
    Conflict,
    InvalidInput,
    MonitorError,
    NotFound,
    StoreUnavailable,
)
from monitor.settings import Settings
from monitor.store import records
from tests.build import a_support, some_readings

SINKING = {date(2016 + n, 5, 1): 1.1 * n for n in range(10)}


@pytest.fixture
def context(store, clock, tmp_path):
    settings = Settings(data_folder=tmp_path, database_url=store.url)
    return CliContext(clock=clock, given_settings=settings)


@pytest.fixture
def run(context):
    def run(*words):
        return CliRunner().invoke(cli, words, obj=context)

    yield run
    context.store.close()


@pytest.fixture
def sinking(store):
    with store.write_session() as session:
        built = a_support(session)
        some_readings(session, built, "settlement", SINKING)
    return built


def test_assess_then_due_then_explain_tell_the_same_story(run, sinking):
    assert run("assess", "--all").output == "1 series assessed.\n"

    due = run("due")
    explained = run("explain", "S-0142")

    assert due.output.startswith("S-0142  seriously late. Due on ")
    assert "S-0142: make safe." in explained.output
    assert (
        "The settlement is beyond its act limit and still growing." in explained.output
    )
    assert "P1, plate, settlement: Moving" in explained.output
    assert "a licensed engineer decide" in explained.output


def test_json_says_what_the_words_say(run, sinking):
    run("assess", "--all")

    due = json.loads(run("due", "--json").output)
    explained = json.loads(run("explain", "S-0142", "--json").output)

    assert due[0]["support"] == "S-0142"
    assert due[0]["sentence"] == explained["due"]["sentence"]
    assert explained["standing"]["standing"] == "make safe"
    assert explained["caution"]


def test_a_lower_case_code_is_understood_or_the_nearest_is_named(run, sinking):
    run("assess", "--all")

    result = run("explain", "S-0124")

    assert isinstance(result.exception, NotFound)
    assert "S-0142" in str(result.exception)


def test_nothing_owed_is_a_sentence(run):
    assert (
        run("due", "--within", "10").output == "Nothing is owed before 11 June 2026.\n"
    )


def test_assess_without_a_code_takes_what_changed(run, sinking):
    assert run("assess").output == "0 series assessed.\n"
    assert run("assess", "S-0142").output == "1 series assessed.\n"


def test_rebuilding_gives_the_same_dues(run, sinking, store):
    run("assess", "--all")
    with store.read_session() as session:
        before = records.DUES.all(session)

    run("due", "--rebuild")

    with store.read_session() as session:
        assert records.DUES.all(session) == before


def test_check_looks_over_the_installation(run, sinking):
    answer = run("check", "--json")
    found = json.loads(answer.output)

    assert answer.exit_code == 5  # no job has run yet
    assert found["trouble"][0].startswith("No job has run yet.")
    assert found["supports"] == 1
    assert found["ledger_broken_at"] is None
    assert found["job_assess"] == "never ran to its end"


def test_a_job_runs_once_and_is_listed(run, sinking):
    assert "series assessed: 1" in run("jobs", "once", "assess").output

    listed = json.loads(run("jobs", "list", "--json").output)

    outcomes = {one["job"]: one["outcome"] for one in listed}
    assert outcomes["assess"] == "done"
    assert isinstance(run("jobs", "once", "dance").exception, NotFound)


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (InvalidInput("x"), 2),
        (Conflict("x"), 2),
        (NotFound("support", "x"), 3),
        (StoreUnavailable("x"), 4),
        (MonitorError("x"), 1),
    ],
)
def test_every_kind_of_refusal_has_its_exit_code(error, code):
    assert exit_code(error) == code


def test_the_demo_is_refused_among_real_records(run, sinking):
    result = run("demo")

    assert isinstance(result.exception, InvalidInput)
    assert "not empty" in str(result.exception)
