"""Recording an inspection through the page's own callback."""

import json
from datetime import date

import pytest

from dashboard.pages import record
from monitor.clock import new_id
from monitor.errors import InsufficientData
from monitor.store import records
from tests.dashboard.conftest import OWN
from tests.dashboard.pressing import ids_of, page_words, show, words_of

OUTPUT = (
    "..record-answer.children...record-questions.children"
    "...record-form.className...record-recorded.data.."
)
HEAD = {
    "support": "data", "key": "data", "on": "date", "inspector": "value",
    "kind": "value", "leaf": "value", "air": "value", "note": "value", "sure": "value",
}  # fmt: skip
PARTS = ("value", "answer", "why", "method")
FINDING = ("code", "grade", "member", "note")
SETTLEMENT = "P1|face|settlement"
TILT = "P1|face|tilt_x"


def a_form(**changes):
    """What the browser sends when only one settlement was typed."""
    form = {
        "head": {
            "support": {"code": "S-0101", "members": ["P1"]}, "key": str(new_id()),
            "on": "2026-06-01", "inspector": "Ines", "kind": "routine", "leaf": "",
            "air": "", "note": "", "sure": [],
        },
        "readings": {SETTLEMENT: {"value": "9.1 mm"}},
        "findings": [{"code": None}],
    }  # fmt: skip
    form["head"] |= changes.pop("head", {})
    return form | changes


def press(client, form):
    keys = list(form["readings"])
    state = [
        {"id": f"record-{name}", "property": prop, "value": form["head"][name]}
        for name, prop in HEAD.items()
    ]
    state += [
        [
            {
                "id": {"type": f"record-{part}", "key": key},
                "property": "value",
                "value": form["readings"][key].get(part, ""),
            }
            for key in keys
        ]
        for part in PARTS
    ]
    state.append(
        [
            {
                "id": (i := {"type": "record-value", "key": key}),
                "property": "id",
                "value": i,
            }
            for key in keys
        ]
    )
    state += [
        [
            {
                "id": {"type": f"record-finding-{part}", "row": str(n)},
                "property": "value",
                "value": finding.get(part, ""),
            }
            for n, finding in enumerate(form["findings"])
        ]
        for part in FINDING
    ]
    outputs = [
        {"id": part.split(".")[0], "property": part.split(".")[1]}
        for part in OUTPUT.strip(".").split("...")
    ]
    body = {
        "output": OUTPUT, "outputs": outputs, "state": state,
        "inputs": [{"id": "record-save", "property": "n_clicks", "value": 1}],
        "changedPropIds": ["record-save.n_clicks"],
    }  # fmt: skip
    answer = client.post("/_dash-update-component", json=body, headers=OWN)
    assert answer.status_code == 200, answer.text
    said = answer.get_json()["response"]
    return (
        words_of(said["record-answer"]["children"]),
        words_of(said["record-questions"]["children"]),
    )


def looks(context, on=date(2026, 6, 1)):
    with context.store.read_session() as session:
        table = records.INSPECTIONS.table.c
        return records.INSPECTIONS.all(session, table.inspected_on == on)


def test_the_form_shows_the_last_value_and_what_is_expected(reader):
    words = page_words(reader, "/record/S-0101")

    assert "+ down; heave is −. Last 8.8\u2009mm on 20 April 2026." in words
    assert "Expected −0.8 to 2.2\u2009mm." in words
    assert "Due on 20 July 2026: an open finding wants a look." in words


def test_every_field_of_the_form_sends_what_this_test_sends(reader, app):
    key = next(k for k in app.callback_map if k.startswith("..record-answer"))
    fields = list(ids_of(show(reader, "/record/S-0101")))
    types = {f["type"] for f in map(_as_dict, fields) if f}

    assert key == OUTPUT
    assert types == {f"record-{part}" for part in PARTS} | {
        f"record-finding-{part}" for part in FINDING
    }


def _as_dict(key):
    if isinstance(key, str) and key.startswith("{"):
        return json.loads(key)
    return key if isinstance(key, dict) else None


def test_an_inspection_is_recorded_with_its_reading_as_typed(client, context):
    answer, _ = press(client, a_form())

    assert "Recorded: S-0101, 1 June 2026." in answer
    (look,) = looks(context)
    assert (look.inspector, look.source, look.recorded_by) == ("Ines", "page", "Ines")
    with context.store.read_session() as session:
        table = records.READINGS.table.c
        (reading,) = records.READINGS.all(session, table.inspection_id == look.id)
    assert (reading.value, reading.given) == (9.1, "9.1 mm")


def test_inches_become_millimetres_and_stay_as_typed(client, context):
    press(client, a_form(readings={SETTLEMENT: {"value": "3/8 in"}}))

    (look,) = looks(context)
    with context.store.read_session() as session:
        table = records.READINGS.table.c
        (reading,) = records.READINGS.all(session, table.inspection_id == look.id)
    assert reading.value == pytest.approx(9.525)  # by hand: 3/8 × 25.4
    assert reading.given == "3/8 in"


def test_could_not_reach_is_an_answer_with_its_reason(client, context):
    said = {"answer": "could not reach", "why": "nest in the way"}
    answer, _ = press(client, a_form(readings={SETTLEMENT: said}))

    assert "Recorded" in answer
    assert "could not reach" in page_words(client, "/supports/S-0101")


def test_a_finding_is_recorded_with_its_grade(client):
    finding = {
        "code": "loose nut",
        "grade": "act",
        "member": "P1",
        "note": "north side",
    }
    press(client, a_form(findings=[finding, {"code": None}]))

    words = page_words(client, "/supports/S-0101")
    assert "Nut loose or missing, P1 north side Seen on 1 June 2026 by Ines." in words


def test_pressing_twice_records_once(client, context):
    form = a_form()
    press(client, form)
    press(client, form)

    assert len(looks(context)) == 1


def test_a_doubt_is_asked_once_and_then_taken(client, context):
    form = a_form(readings={SETTLEMENT: {"value": "0.35 mm"}})  # 8.8 mm in inches
    answer, questions = press(client, form)

    assert "Nothing is written yet." in answer
    assert "Are you sure?" in questions
    assert looks(context) == []
    form["head"]["sure"] = ["P1/face/settlement/1"]
    answer, questions = press(client, form)
    assert "Recorded" in answer
    assert "Are you sure?" not in questions


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"readings": {SETTLEMENT: {"value": "9.1 kN"}}}, "kN"),
        ({"readings": {SETTLEMENT: {"value": "lots"}}}, "lots"),
        ({"head": {"on": None}}, "day is missing"),
        ({"head": {"on": "2031-01-01"}}, "2031"),
        ({"head": {"on": "1999-01-01"}}, "1999"),
        ({"head": {"inspector": ""}}, "inspector"),
        ({"head": {"support": {"code": "S-9999", "members": []}}}, "S-9999"),
    ],
)
def test_what_can_not_be_taken_is_refused_in_words_and_nothing_is_written(
    client, context, changes, said
):
    with context.store.read_session() as session:
        before = records.INSPECTIONS.count(session)
    answer, _ = press(client, a_form(**changes))

    assert said in answer
    assert "Code " in answer
    with context.store.read_session() as session:
        assert records.INSPECTIONS.count(session) == before


def test_a_look_is_recorded_even_when_its_meaning_can_not_be_worked_out(
    client, context, monkeypatch
):
    def fails(*_, **__):
        raise InsufficientData("Nothing can be said.")

    monkeypatch.setattr(record, "assess", fails)
    answer, _ = press(client, a_form())

    assert "Recorded: S-0101, 1 June 2026." in answer
    assert "Nothing can be said." in meaning(client)
    assert len(looks(context)) == 1


def test_what_was_recorded_is_weighed_at_once(client):
    press(client, a_form())

    assert "S-0101 now stands at:" in meaning(client)


def meaning(client) -> str:
    body = {
        "output": "record-meaning.children",
        "outputs": {"id": "record-meaning", "property": "children"},
        "inputs": [{"id": "record-recorded", "property": "data", "value": "S-0101"}],
        "changedPropIds": ["record-recorded.data"],
    }
    answer = client.post("/_dash-update-component", json=body, headers=OWN)
    assert answer.status_code == 200, answer.text
    return words_of(answer.get_json()["response"]["record-meaning"]["children"])


def test_an_auditor_reads_and_does_not_record(auditor, context):
    assert "does not add to it" in page_words(auditor, "/record/S-0101")
    answer, _ = press(auditor, a_form())

    assert "does not add to it" in answer
    assert looks(context) == []


def test_one_more_finding_brings_one_more_row(reader):
    body = {
        "output": "record-findings.children",
        "outputs": {"id": "record-findings", "property": "children"},
        "inputs": [{"id": "record-another", "property": "n_clicks", "value": 3}],
        "state": [
            {"id": "record-support", "property": "data", "value": {"members": ["P1"]}}
        ],
        "changedPropIds": ["record-another.n_clicks"],
    }
    answer = reader.post("/_dash-update-component", json=body, headers=OWN)

    assert answer.status_code == 200
    assert '"row": "3"' in answer.text.replace('"row":"3"', '"row": "3"')
