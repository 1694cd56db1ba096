"""The commands for events, the policy and deferrals."""

import json
from datetime import date

import pytest
from click.testing import CliRunner

from monitor.cli.__main__ import cli, exit_code
from monitor.cli.context import CliContext
from monitor.errors import Conflict, InvalidInput
from monitor.schedule.circle import circle
from monitor.services.assessing.assess import assess_all
from monitor.settings import Settings
from monitor.store import records
from tests.build import a_support, some_readings
from tests.conftest import NOON
from tests.services.test_assess import STILL

STORM = ("event", "add", "storm", "--on", "2026-05-30", "--around", "V-S-0142",
         "--radius", "3 km")  # fmt: skip
GUSTS = "time,gust [km/h]\n2026-05-29,60\n2026-05-30,95\n2026-05-31,\n"


@pytest.fixture
def built(store):
    with store.write_session() as session:
        one = a_support(session)
        some_readings(session, one, "settlement", STILL)
        assess_all(session, now=NOON)
    return one


@pytest.fixture
def run(store, clock, tmp_path, built):
    settings = Settings(data_folder=tmp_path, database_url=store.url)
    context = CliContext(clock=clock, given_settings=settings)
    yield lambda *words: CliRunner().invoke(cli, words, obj=context)
    context.store.close()


def test_a_storm_is_entered_followed_and_ended(run):
    added = run(*STORM, "--size", "95 km/h").output
    listed = json.loads(run("event", "list", "--json").output)
    due = run("due").output
    ended = run("event", "end", "Storm of 30 May 2026").output

    assert "1 supports are called" in added
    assert "1. S-0142  " in added
    assert "a licensed engineer decide" in added
    assert listed[0]["calls"][0]["code"] == "S-0142"
    assert "after the storm with gusts of 95 km/h" in due
    assert "S-0142  still open, by " in ended


def test_entering_it_again_raises_nothing(run):
    run(*STORM, "--size", "95 km/h")

    assert "nothing was raised twice" in run(*STORM, "--size", "95 km/h").output


def test_a_dry_run_writes_nothing(run):
    assert "Nothing was written" in run(*STORM, "--size", "95 km/h", "--dry-run").output
    assert run("event", "list").output == "No event is being followed.\n"


def test_a_stations_file_gives_size_and_day(run, tmp_path):
    path = tmp_path / "station.csv"
    path.write_text(GUSTS)
    where = ("--around", "V-S-0142", "--radius", "3", "--gusts", str(path))

    told = run("event", "add", "storm", *where).output
    doubted = run("event", "add", "storm", *where, "--unit", "m/s")

    assert "2 gusts, 1 gap, the strongest 95 km/h (26 m/s)" in told
    assert "Storm of 30 May 2026: 1 supports" in told
    assert isinstance(doubted.exception, InvalidInput)
    assert "--sure" in str(doubted.exception)


def test_an_area_is_read_from_a_file(run, tmp_path):
    path = tmp_path / "area.geojson"
    path.write_text(circle((-20.0, 47.5), 1.0))
    words = ("--on", "2026-05-30", "--area", str(path), "--size", "200 mm")

    assert "1 supports are called" in run("event", "add", "snow", *words).output


def test_a_wrong_entry_is_withdrawn_with_a_reason(run, store):
    run(*STORM, "--size", "95 km/h")

    bare = run("event", "end", "Storm of 30 May 2026", "--withdraw")
    gone = run(
        "event", "end", "Storm of 30 May 2026", "--withdraw", "--reason", "wrong day"
    )

    assert isinstance(bare.exception, InvalidInput)
    assert "withdrawn" in gone.output
    assert "after the storm" not in run("due").output


def test_a_policy_is_shown_tried_and_adopted(run, tmp_path):
    path = tmp_path / "policy.json"
    plain = json.loads(run("policy", "show", "--json").output)
    for row in plain["routine"]:
        row["months"] = 6
    path.write_text(json.dumps(plain))

    tried = run("policy", "try", str(path)).output
    adopted = run("policy", "adopt", str(path), "--reason", "near miss").output
    shown = run("policy", "show").output
    again = run("policy", "adopt", str(path), "--reason", "near miss")

    assert "1.2 more visits a year (0.8 before, 2.0 after)" in tried
    assert "S-0142  15 to 6 months" in tried
    assert "Version 2 is in force in place of version 1." in adopted
    assert "near miss" in shown
    assert "the proposal this program comes with" in shown
    assert isinstance(again.exception, Conflict)
    assert exit_code(again.exception) == 2


def test_an_inspection_is_put_off_and_stays_in_sight(run, store, built):
    with store.read_session() as session:
        due_on = records.DUES.find(session, support_id=built.support.id).due_on
    until = date.fromordinal(due_on.toordinal() + 30).isoformat()

    told = run("defer", "s-0142", "--until", until, "--reason", "bridge closed",
               "--name", "Maren")  # fmt: skip
    due = run("due", "--within", "3000").output
    back = run("defer", "S-0142", "--withdraw", "--reason", "bridge open").output

    assert "by Maren" in told.output, told.exception
    assert "deferred from" in due
    assert "taken back" in back
    assert isinstance(run("defer", "S-0142", "--reason", "x").exception, InvalidInput)


def test_a_closed_site_and_a_wish_for_the_crown_are_taken(run):
    days = ("--from", "2026-07-20", "--to", "2026-08-09", "--reason", "festival")

    assert (
        "is closed from 20 July 2026" in run("site", "close", "V-S-0142", *days).output
    )
    assert "(festival)" in run("due", "--within", "90").output
    assert "wanted leafless" in run("site", "crown", "S-0142", "leafless").output
    assert "any state" in run("site", "crown", "S-0142").output
