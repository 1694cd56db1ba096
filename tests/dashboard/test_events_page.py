"""The page of events, asked and pressed as a browser would."""

import base64
import json

import pytest

from dashboard.components.event_form import FIELDS, area_from
from monitor.services.planning.event_calls import calls_of
from monitor.store import records
from tests.dashboard.conftest import OWN
from tests.dashboard.pressing import UPDATE, page_words, words_of

FILLED = {
    "kind": "storm",
    "on": "2026-05-30",
    "size": "95 km/h",
    "around": "V-S-0101",
    "radius": "3",
}


def press(client, button, **changes):
    filled = dict.fromkeys(FIELDS, "") | FILLED | changes
    body = {
        "output": "events-answer.children",
        "outputs": {"id": "events-answer", "property": "children"},
        "inputs": [
            {"id": "events-ask", "property": "n_clicks", "value": 1},
            {"id": "events-enter", "property": "n_clicks", "value": 1},
        ],
        "state": [
            {
                "id": f"events-{name}",
                "property": "date" if name == "on" else "value",
                "value": filled[name],
            }
            for name in FIELDS
        ],
        "changedPropIds": [f"events-{button}.n_clicks"],
    }
    answer = client.post(UPDATE, json=body, headers=OWN)
    assert answer.status_code == 200, answer.text
    return words_of(answer.get_json()["response"]["events-answer"]["children"])


def test_without_events_the_page_is_a_sentence_and_a_form(reader):
    words = page_words(reader, "/events")

    assert "No event is being followed." in words
    assert "Enter an event" in words
    assert "Storm of 3 February 2017" in words


def test_asking_writes_nothing_and_says_who_would_be_called(client, context):
    words = press(client, "ask")

    assert "Five supports would be called to a look." in words
    with context.store.read_session() as session:
        assert records.EVENTS.count(session) == 1  # the storm of 2017


def test_entering_raises_the_looks_in_order_of_risk(client, context):
    assert "five supports are called to a look" in press(client, "enter")

    words = page_words(client, "/events")
    assert "One event is followed: five supports still want a look" in words
    assert "Screening only." in words
    assert words.index("S-0101") < words.index("S-0106")  # make safe comes first
    assert "after the storm with gusts of 95 km/h" in page_words(client, "/due")
    assert "Storm of 30 May 2026" in page_words(client, "/supports/S-0101")


def test_entering_it_twice_raises_nothing_more(client, context):
    press(client, "enter")

    assert "nothing was raised twice" in press(client, "enter")
    with context.store.read_session() as session:
        assert records.EVENT_CALLS.count(session) == 5


def test_what_can_not_be_is_refused_in_words(client):
    assert "with its unit" in press(client, "enter", size="95")
    assert "choose it" in press(client, "enter", on=None)


def test_an_area_that_crosses_itself_is_refused_and_calls_nobody(client, context):
    bow_tie = {"type": "Polygon", "coordinates": [
        [[-20.1, 47.4], [-19.9, 47.6], [-19.9, 47.4], [-20.1, 47.6], [-20.1, 47.4]],
    ]}  # fmt: skip

    said = press(client, "enter", around="", radius="", area=json.dumps(bow_tie))

    assert "cross" in said
    with context.store.read_session() as session:
        assert records.EVENT_CALLS.count(session) == 0


def test_a_reading_account_may_ask_but_not_enter(auditor):
    assert "would be called" in press(auditor, "ask")
    assert "reads the record and does not add to it" in press(auditor, "enter")


def test_an_event_is_ended_and_what_is_open_is_said(client, context):
    press(client, "enter")
    with context.store.read_session() as session:
        storm = max(records.EVENTS.all(session), key=lambda one: one.happened_on)
        assert len(calls_of(session, storm)) == 5
    body = {
        "output": "events-ended.children",
        "outputs": {"id": "events-ended", "property": "children"},
        "inputs": [{"id": "events-end", "property": "n_clicks", "value": 1}],
        "state": [
            {"id": "events-over", "property": "value", "value": str(storm.id)},
            {"id": "events-over-on", "property": "date", "value": "2026-06-01"},
        ],
        "changedPropIds": ["events-end.n_clicks"],
    }

    answer = client.post(UPDATE, json=body, headers=OWN)

    assert "is over. Five looks are still open, in order of risk:" in answer.text


def read_file(client, text):
    content = "data:text/csv;base64," + base64.b64encode(text.encode()).decode()
    body = {
        "output": "..events-read.children...events-size.value...events-on.date..",
        "outputs": [
            {"id": "events-read", "property": "children"},
            {"id": "events-size", "property": "value"},
            {"id": "events-on", "property": "date"},
        ],
        "inputs": [{"id": "events-file", "property": "contents", "value": content}],
        "state": [{"id": "events-file", "property": "filename", "value": "a.csv"}],
        "changedPropIds": ["events-file.contents"],
    }

    return client.post(UPDATE, json=body, headers=OWN)


def test_a_stations_file_fills_in_size_and_day(client):
    text = "time,gust [kn]\n2026-05-29 23:00,41\n2026-05-30 02:00,50\n"

    said = read_file(client, text).get_json()["response"]

    assert said["events-size"]["value"] == "92.6 km/h"  # 50 * 1.852, exact
    assert said["events-on"]["date"] == "2026-05-30"


def test_a_stations_file_in_too_small_a_unit_is_doubted_beside_the_form(client):
    text = "time,gust [km/h]\n2026-05-29 23:00,\n2026-05-30 02:00,28\n"

    said = read_file(client, text)

    assert "1 gust, 1 gap" in said.text
    assert "Check the unit." in said.text


@pytest.mark.parametrize(
    "drawn",
    [
        {"shapes": [{"path": "M-20,47L-19,47L-19,48Z"}]},
        {"shapes[0].path": "M-20,47L-19,47L-19,48Z"},
    ],
)
def test_a_line_drawn_on_the_map_becomes_an_area(drawn):
    ring = json.loads(area_from(drawn))["coordinates"][0]

    assert ring == [[-20, 47], [-19, 47], [-19, 48], [-20, 47]]


def test_moving_about_the_map_draws_nothing():
    assert area_from({"xaxis.range[0]": 1.0}) is None
    assert area_from(None) is None
