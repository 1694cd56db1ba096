"""`underprop explain` tells margins with what they stand on."""

import json

import pytest
from click.testing import CliRunner

from monitor.cli.__main__ import cli
from monitor.cli.context import CliContext
from monitor.mechanics.screening import CAUTION
from monitor.settings import Settings
from tests.services.margin_world import a_stored_post


@pytest.fixture
def run(store, clock, tmp_path):
    settings = Settings(data_folder=tmp_path, database_url=store.url)
    context = CliContext(clock=clock, given_settings=settings)

    def run(*words):
        return CliRunner().invoke(cli, words, obj=context).output

    yield run
    context.store.close()


def test_explain_tells_the_margin_with_method_and_what_was_assumed(store, run):
    with store.write_session() as session:
        a_stored_post(session)
    run("assess", "--all")

    said = run("explain", "S-0142")

    assert "Margin of post P1, screening only:" in said
    assert "Method: allowable strength (AISC 360 ASD), tube by E3 and H1" in said
    assert "By design resistance (EN 1993-1-1) it would be" in said
    assert "Recorded: load as set, 20.0\u2009kN (as built, good to 25\u202f%" in said
    assert "Assumed: growth of the limb, 2.0\u2009mm a year" in said
    assert "Taken for granted: Ice, snow and wind are not in the load." in said
    assert said.rstrip().endswith(CAUTION)


def test_json_tells_the_same_numbers_and_the_refusals(store, run):
    with store.write_session() as session:
        a_stored_post(session, "S-1")
        a_stored_post(session, "S-2", set_load_kn=None)
    run("assess", "--all")

    told, refused = (
        json.loads(run("explain", code, "--json"))["margins"][0]
        for code in ("S-1", "S-2")
    )

    assert len(told["use"]) == len(told["years"]) == len(told["governs"])
    assert told["caution"] == CAUTION
    assert refused["use"] == []
    assert "No load is known" in refused["refused"][0]
