"""The page of rounds: every button is an address that plans again."""

import json
import re
from datetime import date
from io import BytesIO

import pytest

from dashboard.figures.day_map import DayStop, DayWay, day_map
from monitor.services.planning.agreed import standing_rounds
from monitor.store import records
from tests.build import an_inspection
from tests.dashboard.conftest import OWN
from tests.dashboard.pressing import page_words, show

SEARCH = "?people=Edda&days=3"


def test_the_page_first_says_how_much_is_wanted(reader):
    assert "h on site." in page_words(reader, "/rounds")


def test_named_people_get_days_with_hours(reader):
    words = page_words(reader, "/rounds", SEARCH)

    assert "Edda" in words
    assert "Leaves at " in words


def test_what_can_not_be_read_is_refused_in_words(reader):
    assert "can not be read" in page_words(reader, "/rounds", "?people=Edda+(climbing")


@pytest.mark.parametrize("days", ["0", "999", "x", "²"])
def test_days_that_are_none_are_refused(reader, days):
    words = page_words(reader, "/rounds", f"?people=Edda&days={days}")

    assert "days" in words
    assert "Leaves at " not in words


def test_a_visit_that_is_not_owed_any_more_is_named(reader):
    search = f"{SEARCH}&pins=S-9999@Edda@{date(2026, 6, 2)}"

    assert "No longer owed, so not in the plan: S-9999." in page_words(
        reader, "/rounds", search
    )


def form_of(client, search):
    """What the button of a plan sends."""
    shown = show(client, "/rounds", search)
    hidden = re.findall(r'\{[^{}]*"type": "hidden"[^{}]*\}', json.dumps(shown))
    return {props["name"]: props["value"] for props in map(json.loads, hidden)}


def agree(client, search=SEARCH, **changes):
    data = form_of(client, search) | changes
    return client.post("/rounds/agree", data=data, headers=OWN)


def rounds_of(context):
    with context.store.read_session() as session:
        return standing_rounds(session, date(2020, 1, 1))


def test_a_plan_that_was_shown_is_agreed_and_listed(client, context):
    assert agree(client).status_code == 303

    found = rounds_of(context)
    assert {one.round.person for one in found} == {"Edda"}
    words = page_words(client, "/rounds")
    assert "Agreed rounds" in words
    assert found[0].codes[0] in words


def test_an_agreed_round_has_its_own_page_and_can_be_taken_back(client, context):
    agree(client)
    one = rounds_of(context)[0]
    address = f"/rounds/{one.round.root_id}"

    assert "min on the way" in page_words(client, address)
    sent = client.post(f"{address}/take-back", data={"reason": "Ice."}, headers=OWN)

    assert sent.status_code == 303
    assert "Taken back by Ines" in page_words(client, address)
    assert one.key not in {other.key for other in rounds_of(context)}


def test_an_agreed_round_names_the_tree_and_says_what_was_looked_at_since(
    client, context
):
    agree(client)
    one = rounds_of(context)[0]
    address = f"/rounds/{one.round.root_id}"
    with context.store.read_session() as session:
        support = records.SUPPORTS.find(session, code=one.codes[0])
        tree = records.TREES.get(session, support.tree_id)
    before = page_words(client, address)

    with context.store.write_session() as session:
        look = an_inspection(support.id, one.round.planned_on)
        records.INSPECTIONS.add(session, [look])
    after = page_words(client, address)

    assert tree.species in before or tree.code in before
    assert "Looked at on" not in before
    assert after.count("Looked at on") == 1
    assert after.count("Record it") == before.count("Record it") - 1


def test_a_plan_that_is_not_the_one_shown_is_not_agreed(client, context):
    answer = agree(client, mark="0" * 16)

    assert answer.status_code == 422
    assert "look at the plan anew" in answer.text
    assert rounds_of(context) == ()


def test_who_only_looks_can_not_agree(auditor, context):
    assert "Agree these rounds" not in page_words(auditor, "/rounds", SEARCH)
    answer = auditor.post(
        "/rounds/agree", data={"search": SEARCH[1:], "mark": ""}, headers=OWN
    )

    assert answer.status_code == 403
    assert rounds_of(context) == ()


def test_a_round_that_is_none_is_not_there(reader):
    for key in ("none", "00000000-0000-0000-0000-000000000000"):
        assert "No round" in page_words(reader, f"/rounds/{key}")


def test_a_table_of_ways_is_checked_kept_and_taken_back(client):
    def send(text):
        file = (BytesIO(text.encode()), "ways.csv")
        return client.post("/rounds/travel", data={"table": file}, headers=OWN)

    refused = send("from,to,min\nV-S-0101,XX9,14\n")
    kept = send("from,to,min\nV-S-0101,V-S-0102,140\n")

    assert (refused.status_code, kept.status_code) == (422, 303)
    assert "no site is called “XX9”" in refused.text
    assert "One way in minutes from ways.csv" in page_words(client, "/rounds")
    assert "One way by your own table" in page_words(client, "/rounds", SEARCH)
    assert client.post("/rounds/travel/drop", headers=OWN).status_code == 303
    assert "There is none" in page_words(client, "/rounds")


def test_a_map_shows_every_stop_of_the_day_with_whose_it_is():
    ways = [
        DayWay(
            (-20.0, 47.5), (DayStop((-20.1, 47.6), "A1–2", "A1–2: 08:10 S-1, S-2"),)
        ),
        DayWay((-20.0, 47.5), (DayStop((-20.2, 47.5), "B1", "B1: 09:00 S-3"),)),
    ]

    figure = day_map(ways)

    labels = {note.text for note in figure.layout.annotations}
    assert {"A1–2", "B1"} <= labels
    assert len({trace.line.dash for trace in figure.data if trace.mode == "lines"}) == 2
