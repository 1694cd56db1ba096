"""Recording a work and correcting a reading on pages: shown first, then written."""

import pytest

from monitor.store import records
from tests.dashboard.conftest import OWN
from tests.dashboard.pressing import UPDATE, page_words, show, tags_of, words_of

WORK = {
    "support": "S-0101", "kind": "adjustment", "on": "2026-05-20",
    "by": 'Corbel & "Fern" שלום', "member": "", "closes": "", "note": "",
}  # fmt: skip
BUTTONS = {"work": ("ask", "save"), "correct": ("ask", "save", "withdraw")}


def press(client, page, button, filled):
    kept = {"support": "data", "on": "date"}
    body = {
        "output": f"{page}-answer.children",
        "outputs": {"id": f"{page}-answer", "property": "children"},
        "inputs": [
            {"id": f"{page}-{name}", "property": "n_clicks", "value": 1}
            for name in BUTTONS[page]
        ],
        "state": [
            {"id": f"{page}-{name}", "property": kept.get(name, "value"), "value": said}
            for name, said in filled.items()
        ],
        "changedPropIds": [f"{page}-{button}.n_clicks"],
    }
    answer = client.post(UPDATE, json=body, headers=OWN)
    assert answer.status_code == 200, answer.text
    return words_of(answer.get_json()["response"][f"{page}-answer"]["children"])


def works_of(context, code):
    with context.store.read_session() as session:
        support = records.SUPPORTS.find(session, code=code)
        table = records.WORKS.table.c
        return records.WORKS.current(session, table.support_id == support.id)


def test_a_work_is_shown_first_and_written_then(client, context):
    before = works_of(context, "S-0101")

    shown = press(client, "work", "ask", WORK)
    between = works_of(context, "S-0101")
    said = press(client, "work", "save", WORK)

    assert "Nothing is written yet." in shown
    assert "anew" in shown.casefold()
    assert between == before
    assert "Recorded: adjustment on S-0101" in said
    after = works_of(context, "S-0101")
    assert len(after) == len(before) + 1
    assert 'Corbel & "Fern" שלום' in {work.done_by for work in after}


def test_the_same_work_again_is_refused_in_words(client):
    press(client, "work", "save", WORK)

    again = press(client, "work", "save", WORK)

    assert "already has this work" in again
    assert "has this work already" in press(client, "work", "ask", WORK)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"kind": ""}, "expected one of adjustment"),
        ({"on": None}, "The day is missing"),
        ({"on": "2999-01-01"}, "2999"),
        ({"member": "P99"}, "P99"),
        ({"closes": "nothing such"}, "nothing such"),
    ],
)
def test_what_can_not_be_recorded_is_said_and_nothing_is_written(
    client, context, changes, said
):
    before = works_of(context, "S-0101")

    words = press(client, "work", "save", WORK | changes)

    assert said in words
    assert works_of(context, "S-0101") == before


def newest(client):
    """The words of the newest reading that can be corrected."""
    page = show(client, "/correct/S-0101")["shell-page"]["children"]
    options = []

    def walk(node):
        if isinstance(node, dict):
            if node.get("type") == "Dropdown":
                options.extend(node["props"]["options"])
            for part in node.values():
                walk(part)
        elif isinstance(node, list):
            for part in node:
                walk(part)

    walk(page)
    return options[0]


def test_a_reading_is_corrected_with_its_reason(client, context):
    which = newest(client)
    filled = {"support": "S-0101", "which": which, "text": "1 mm/m",
              "reason": "misread"}  # fmt: skip

    shown = press(client, "correct", "ask", filled)
    said = press(client, "correct", "save", filled)

    assert "Nothing is written yet. It says" in shown
    assert "In its place would stand" in shown
    assert "Corrected. What it said stays readable" in said
    with context.store.read_session() as session:
        reasons = [one.reason for one in records.READINGS.all(session)]
    assert reasons.count("misread") == 1
    assert newest(client) != which


def test_a_reading_is_withdrawn(client):
    which = newest(client)
    filled = {"support": "S-0101", "which": which, "text": "", "reason": "other post"}

    said = press(client, "correct", "withdraw", filled)

    assert "Corrected." in said
    assert which not in page_words(client, "/correct/S-0101")


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"which": ""}, "Choose which reading"),
        ({"which": "a made-up one"}, "Choose which reading"),
        ({"reason": " "}, "reason"),
        ({"text": "many"}, "many"),
        ({"text": "1e400"}, "1e400"),
    ],
)
def test_a_correction_that_says_too_little_is_refused(client, changes, said):
    filled = {"support": "S-0101", "which": newest(client), "text": "1",
              "reason": "misread"}  # fmt: skip

    assert said in press(client, "correct", "save", filled | changes)


@pytest.mark.parametrize("path", ["/works/S-0101", "/correct/S-0101"])
def test_who_only_reads_is_told_so(auditor, path):
    assert "does not add to it" in page_words(auditor, path)


def test_an_auditor_who_presses_all_the_same_is_refused(auditor, context):
    before = works_of(context, "S-0101")

    assert "does not add to it" in press(auditor, "work", "save", WORK)
    assert works_of(context, "S-0101") == before


@pytest.mark.parametrize("path", ["/works/S-9999", "/correct/S-9999"])
def test_a_support_that_is_not_there_is_said_so(reader, path):
    assert "S-9999" in page_words(reader, path)


@pytest.mark.parametrize("path", ["/works/S-0101", "/correct/S-0101"])
def test_every_field_is_named_and_the_support_leads_here(reader, path):
    page = show(reader, path)["shell-page"]["children"]
    fields = [tag for tag in tags_of(page) if tag in {"Dropdown", "Input", "Textarea",
              "DatePickerSingle"}]  # fmt: skip

    assert tags_of(page).count("Label") == len(fields)
    words = page_words(reader, "/supports/S-0101")
    assert "Record a work" in words
    assert "Correct a reading" in words
