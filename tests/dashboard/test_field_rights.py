"""Photographs and what forms left open: who sees them, and who may decide."""

import json

import pytest

from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.services.field.tasks import open_tasks
from monitor.services.showing.photos import photos_of
from monitor.services.showing.support import find_support
from monitor.store import records
from tests.conftest import NOON
from tests.dashboard.conftest import OWN, PASSWORD, signed_in_client
from tests.dashboard.pressing import page_words
from tests.field.phone import a_body, post, put, sha

PNG = (
    b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x01\0\0\0\x01\x08\0\0\0\0:~\x9bU"
    b"\0\0\0\nIDATx\x9cc`\0\0\0\x02\0\x01H\xaf\xa4q\0\0\0\0IEND\xaeB`\x82"
)


@pytest.fixture
def task(client, context):
    """A form with a photograph that was left with the office; its task."""
    put(client, PNG, 0, len(PNG))
    answer = post(client, a_body(photos=[PNG]), path="set-aside")
    assert answer.status_code == 200, answer.text
    with context.store.read_session() as session:
        (found,) = open_tasks(session)
    return found


@pytest.fixture
def owner(app, context):
    """Somebody whose sites these are not."""
    with context.store.write_session() as session:
        new = NewAccount("Odo", "", Role.OWNER, PASSWORD, "City of Velmarsh")
        access.add_account(session, new, actor="test", now=NOON)
    return signed_in_client(app, context, "Odo")


def decide(client, task, way, *, reason=""):
    keys = ("", str(task.id))
    body = {
        "output": "decide-answer.children",
        "outputs": {"id": "decide-answer", "property": "children"},
        "inputs": [
            [
                {
                    "id": {"type": "decide-way", "task": keys[1], "way": way},
                    "property": "n_clicks",
                    "value": 1,
                }
            ]
        ],
        "state": [
            [
                {
                    "id": {"type": "decide-reason", "task": key},
                    "property": name,
                    "value": value(key),
                }
                for key in keys
            ]
            for name, value in (
                ("id", lambda key: {"type": "decide-reason", "task": key}),
                ("value", lambda key: reason if key else ""),
            )
        ],
        "changedPropIds": [
            json.dumps(
                {"task": keys[1], "type": "decide-way", "way": way},
                separators=(",", ":"),
            )
            + ".n_clicks"
        ],
    }
    answer = client.post("/_dash-update-component", json=body, headers=OWN)
    assert answer.status_code == 200, answer.text
    return answer.text


def still_open(context):
    with context.store.read_session() as session:
        return [task.id for task in open_tasks(session)]


def test_an_inspector_leaves_a_form_out_with_a_reason(client, context, task):
    assert "Say why the look" in decide(client, task, "no")
    assert still_open(context) == [task.id]

    assert "Decided." in decide(client, task, "no", reason="entered by hand")

    assert still_open(context) == []


def test_an_inspector_records_what_was_left_with_the_office(client, context, task):
    assert "Recorded: S-0101" in decide(client, task, "0")

    assert still_open(context) == []
    with context.store.read_session() as session:
        support = find_support(session, "S-0101")
        (view,) = photos_of(session, support)
    assert view.photo.sha256 == sha(PNG)
    assert view.visit is not None


def test_buttons_are_shown_to_those_who_may_use_them(client, auditor, task):
    recording, reading = (page_words(one, "/decide") for one in (client, auditor))

    for words in ("Record it as it is", "Leave it out, with this reason"):
        assert words in recording
        assert words not in reading
    assert "who adds to it decides these" in reading
    assert "who adds to it decides these" not in recording


def test_an_auditor_sees_what_is_open_and_decides_nothing(auditor, context, task):
    assert "left with the office as it is" in page_words(auditor, "/decide")
    for way in ("0", "no", "seen"):
        assert "does not add to it" in decide(auditor, task, way, reason="x")

    assert still_open(context) == [task.id]


def test_an_owner_decides_nothing_either(owner, context, task):
    for way in ("0", "no", "seen"):
        assert "does not add to it" in decide(owner, task, way, reason="x")

    assert still_open(context) == [task.id]


def test_the_original_of_a_photograph_is_for_those_who_record(
    client, auditor, owner, context, task
):
    with context.store.read_session() as session:
        (photo,) = records.PHOTOS.all(
            session, records.PHOTOS.table.c.sha256 == sha(PNG)
        )
    original = f"/pictures/{photo.id}/original"

    assert client.get(original).data == PNG
    for reader in (auditor, owner):
        answer = reader.get(original)
        assert answer.status_code == 403
        assert "where and by whom" in answer.text
        assert reader.get(f"/pictures/{photo.id}/small").status_code == 200


def test_who_only_reads_measures_on_a_photograph_and_keeps_nothing(
    auditor, context, task
):
    words = page_words(auditor, "/supports/S-0101/photos")

    assert "The photograph of" in words
    assert "The original, as it came" not in words
