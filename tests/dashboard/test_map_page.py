"""The map: what it says, what it draws, who sets its ground."""

import io
import json
from dataclasses import replace
from datetime import timedelta

import pytest

from dashboard.app import create_app
from dashboard.pages import map as map_page
from monitor.clock import local_date
from monitor.services.showing.map_replay import Replay, event_choices, replay_of
from monitor.store import records
from monitor.store.map_lines import map_lines
from tests.conftest import NOON
from tests.dashboard.conftest import OWN, signed_in_client
from tests.dashboard.pressing import UPDATE, page_words, show, words_of

SQUARE = json.dumps(
    {
        "type": "Polygon",
        "coordinates": [[[-60, -80], [60, -80], [60, 80], [-60, 80], [-60, -80]]],
    }
)
LINE = b'{"type": "LineString", "coordinates": [[-20, 47], [-19, 47]]}'


def press(client, output, inputs):
    """The answer of a callback found by one of its outputs."""
    asked = client.get("/_dash-dependencies").get_json()
    found = next(one for one in asked if output in one["output"])
    given = iter(inputs)
    body = {
        "output": found["output"],
        "outputs": [
            {"id": key, "property": prop}
            for key, prop in (
                part.rsplit(".", 1) for part in found["output"].strip(".").split("...")
            )
        ],
        "inputs": [{**one, "value": next(given)} for one in found["inputs"]],
        "changedPropIds": [],
    }
    if not found["output"].startswith(".."):
        body["outputs"] = body["outputs"][0]
    answer = client.post(UPDATE, json=body, headers=OWN)
    assert answer.status_code == 200, answer.text
    return next(iter(answer.get_json()["response"].values()))["children"]


def test_the_first_sentence_says_who_is_in_trouble(reader):
    words = page_words(reader, "/map")

    assert "supports on" in words
    assert "Draw an area" in words


def test_the_list_beneath_holds_everything_that_is_chosen(reader):
    every = press(reader, "map-list.children", ["", [], [], ""])
    posts = press(reader, "map-list.children", ["", [], ["cable"], ""])
    none = press(reader, "map-list.children", ["", [], [], "no such words"])

    assert "S-0101" in words_of(every)
    assert "S-0101" not in words_of(posts)
    assert "S-0103" in words_of(posts)
    assert "Nothing of what is chosen" in words_of(none)


def test_removed_supports_are_not_on_the_map(reader):
    assert "S-0105" not in words_of(
        press(reader, "map-list.children", ["", [], [], ""])
    )


def test_a_drawn_area_leads_to_an_event_there_for_who_may_enter_one(reader, auditor):
    mine = press(reader, "map-list.children", [SQUARE, [], [], ""])
    theirs = press(auditor, "map-list.children", [SQUARE, [], [], ""])

    assert "in the area" in words_of(mine)
    assert "Enter an event for this area" in words_of(mine)
    assert "Enter an event" not in words_of(theirs)


@pytest.mark.parametrize(
    "area", ["{", "[]", '{"type":"Polygon","coordinates":[[[0,0]]]}']
)
def test_an_area_that_is_none_is_refused_in_words(reader, area):
    assert "can not be used" in words_of(
        press(reader, "map-list.children", [area, [], [], ""])
    )


def test_the_events_page_takes_the_area_from_the_address(reader):
    shown = json.dumps(show(reader, "/events", "?area=%7B%22a%22%3A1%7D"))

    assert '{\\"a\\":1}' in shown


def test_the_ground_is_set_by_who_sets_the_policy_only(app, context, client):
    sent = {"ground": (io.BytesIO(LINE), "ground.geojson")}

    answer = client.post("/map/ground", data=sent, headers=OWN)

    assert answer.status_code == 422
    assert "does not set the ground" in answer.text
    assert client.get("/map/ground.geojson").status_code == 404


def test_a_ground_that_is_set_is_given_to_the_map(context, tmp_path):
    path = tmp_path / "own.geojson"
    path.write_bytes(LINE)
    settings = replace(context.settings, ground_file=str(path))
    context = replace(context, settings=settings)

    client = signed_in_client(create_app(context), context, "Ines")
    answer = client.get("/map/ground.geojson")

    assert answer.get_json()["features"][0]["geometry"]["type"] == "LineString"


def test_only_a_tile_host_that_is_set_may_be_asked(context):
    plain = signed_in_client(create_app(context), context, "Ines")
    tiles = "https://tiles.example/{z}/{x}/{y}.png"
    context = replace(context, settings=replace(context.settings, tile_address=tiles))
    tiled = signed_in_client(create_app(context), context, "Ines")

    policy = "Content-Security-Policy"
    assert "https:" not in plain.get("/map").headers[policy]
    assert (
        "connect-src 'self' https://tiles.example" in tiled.get("/map").headers[policy]
    )


def test_a_replay_counts_the_looks_day_by_day(context):
    with context.store.read_session() as session:
        lines = map_lines(session)
        event = records.EVENTS.all(session)[0]
        told = replay_of(session, event_choices(session)[0][0], NOON)
    assert told is not None
    first = event.happened_on + timedelta(days=2)
    one, other = lines[0].support_id, lines[1].support_id
    replay = Replay(event, "29 m/s", {one: first, other: None}, {}, days=5)

    assert len(replay.seen_by(1)) == 0
    assert replay.seen_by(2) == {one}
    assert "1 of the 2 called" in map_page.replay_words(replay, 3)


def test_a_replay_never_tells_the_future(context):
    with context.store.read_session() as session:
        for key, _ in event_choices(session):
            told = replay_of(session, key, NOON)
            assert told.on(told.days) <= max(
                local_date(NOON, "UTC"), told.event.happened_on
            )


def test_an_unknown_event_is_no_replay(context):
    with context.store.read_session() as session:
        assert replay_of(session, "x" * 40, NOON) is None
