"""Programs record inspections, once however often they are sent."""

import gzip
import json

import pytest

from dashboard.api.inspecting import FINDING, INSPECTION, READING
from monitor.clock import new_id
from monitor.errors import InvalidInput
from monitor.services.recording.json_commands import inspection_from_json


def a_look(**more):
    return {
        "support": "S-0106",
        "date": "2026-05-20",
        "inspector": 'Ilse "Is" שלום 🌳',
        "kind": "baseline",
    } | more


def test_an_inspection_is_recorded_and_found_again(fresh):
    answer = fresh.post("/inspections", json=a_look(note="=1+1"))

    assert answer.status_code == 201
    seen = fresh.get(f"/inspections/{answer.json['id']}").json
    assert seen == answer.json
    assert seen["source"] == "api"
    assert seen["inspector"] == 'Ilse "Is" שלום 🌳'


def test_the_same_sent_twice_is_recorded_once_and_another_is_refused(fresh):
    key = str(new_id())
    first = fresh.post("/inspections", json=a_look(id=key))

    again = fresh.post("/inspections", json=a_look(), headers={"Idempotency-Key": key})
    other = fresh.post("/inspections", json=a_look(id=key, date="2026-05-21"))

    assert again.json == first.json
    assert (other.status_code, other.json["field"]) == (422, "id")
    found = fresh.get("/inspections?support=S-0106").json["items"]
    assert len(found) == 1


def test_a_token_that_reads_only_records_nothing(reads_only):
    answer = reads_only.post("/inspections", json=a_look())

    assert answer.status_code == 403
    assert answer.json["code"] == "acc-004"


@pytest.mark.parametrize(
    ("value", "field"),
    [
        ("NaN", "value"),
        ("Infinity", "value"),
        ("1e400", "value"),
        ('"12,5"', "value"),
        ("9" * 5000, "value"),
        ("true", "value"),
        ("[]", "value"),
        ("null", "value"),
        ('""', "value"),
    ],
)
def test_a_value_that_is_no_number_is_refused_by_name(program, value, field):
    body = json.dumps(a_look(readings=["here"])).replace(
        '"here"', f'{{"quantity": "settlement", "value": {value}}}'
    )

    answer = program.post("/inspections", data=body, content_type="application/json")

    assert (answer.status_code, answer.json["field"]) == (422, field), answer.json


@pytest.mark.parametrize(
    "day",
    ["2023-02-29", "0000-00-00", "9999-12-31", "31/12/68", "2026-13-01", "45000"],
)
def test_a_day_that_is_none_is_refused_by_name(program, day):
    answer = program.post("/inspections", json=a_look(date=day))

    assert (answer.status_code, answer.json["field"]) == (422, "date")


@pytest.mark.parametrize(
    ("body", "head", "statuses"),
    [
        (b"[" * 100_000, {}, {422}),
        (b'{"support": "S', {}, {422}),
        (b"\xff\xfe\x00", {}, {400}),
        (b"{}", {"Content-Type": "application/json; charset=utf-16"}, {415}),
        (b"{}", {"Content-Type": "text/plain"}, {415}),
        (gzip.compress(b"{}", mtime=0), {"Content-Encoding": "gzip"}, {415}),
        (b" " * 50_000_000, {}, {413}),
    ],
)
def test_a_body_that_is_none_is_refused_and_the_next_is_answered(
    program, body, head, statuses
):
    headers = {"Content-Type": "application/json"} | head

    answer = program.post("/inspections", data=body, headers=headers)

    assert answer.status_code in statuses
    assert answer.mimetype == "application/problem+json"
    assert program.get("/supports?limit=1").status_code == 200


@pytest.mark.parametrize(
    ("shape", "put"),
    [
        (INSPECTION, lambda key: {key: "x"}),
        (READING, lambda key: {"readings": [{key: "x"}]}),
        (FINDING, lambda key: {"findings": [{key: "x"}]}),
    ],
)
def test_the_described_body_has_the_keys_that_are_taken(shape, put):
    """Every described key is known; the refusal of a strange one names the same."""
    with pytest.raises(InvalidInput) as refused:
        inspection_from_json(json.dumps(a_look() | put("strange")))

    known = refused.value.message.rpartition("but ")[2].rstrip(".").split(", ")
    assert set(shape["properties"]) == set(known)
