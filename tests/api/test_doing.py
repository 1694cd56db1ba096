"""Programs record works, correct, set limits, enter events and adopt policies."""

import json
from datetime import timedelta

import pytest

from dashboard.api.asked import body_schema
from dashboard.api.doing import DEEDS
from monitor.clock import new_id
from monitor.domain.people import KeyKind, KeyScope
from monitor.domain.rights import Right, may
from monitor.domain.vocabulary import Role
from monitor.schedule.deferral import HELD_FAST
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.services.entry.keys import Wish, make_key
from monitor.services.planning.plan import plan_all
from monitor.store import records
from tests.api.conftest import Program
from tests.conftest import NOON

WORK = {
    "support": "S-0106", "done_on": "2026-05-20", "kind": "adjustment",
    "done_by": 'Corbel & "Fern" 🌳',
}  # fmt: skip
STORM = {"kind": "storm", "happened_on": "2026-05-30", "around": "V-S-0101",
         "radius": "5", "size": "110 km/h"}  # fmt: skip


def said(answer):
    return answer.status_code, answer.json


def test_a_work_is_recorded_once_under_its_key(fresh):
    key = str(new_id())
    first = fresh.post("/works", json=WORK, headers={"Idempotency-Key": key})

    again = fresh.post("/works", json=WORK | {"id": key})
    other = fresh.post("/works", json=WORK | {"id": key, "done_on": "2026-05-21"})

    assert first.status_code == 201, first.json
    assert first.json["id"] == key
    assert said(again) == (201, first.json)
    assert (other.status_code, other.json["field"]) == (422, "id")
    assert len(fresh.get("/works?support=S-0106").json["items"]) == 1


def test_a_work_is_amended_and_withdrawn_with_a_reason(fresh):
    fresh.post("/works", json=WORK)
    which = {"support": "S-0106", "on": "2026-05-20", "reason": "wrong firm"}

    amended = fresh.post("/works/amendments", json=which | {"new_done_by": "Ines"})
    silent = fresh.post("/works/amendments", json=which | {"reason": " "})
    gone = fresh.post("/works/withdrawals", json=which)

    assert (amended.status_code, amended.json["done_by"]) == (201, "Ines")
    assert (silent.status_code, silent.json["field"]) == (422, "reason")
    assert gone.json["withdrawn"] is True
    assert fresh.get("/works?support=S-0106").json["items"] == []


def test_a_reading_is_corrected_and_the_same_again_is_refused(fresh):
    look = {"support": "S-0106", "date": "2026-05-20", "inspector": "Ilse",
            "kind": "baseline",
            "readings": [{"quantity": "settlement", "value": "14 mm"}]}  # fmt: skip
    assert fresh.post("/inspections", json=look).status_code == 201
    better = {"support": "S-0106", "on": "2026-05-20", "quantity": "settlement",
              "text": "4 mm", "reason": "misread"}  # fmt: skip

    corrected = fresh.post("/readings/corrections", json=better)
    again = fresh.post("/readings/corrections", json=better)

    assert (corrected.status_code, corrected.json["value"]) == (201, 4.0)
    assert again.status_code in {409, 422}
    (line,) = fresh.get("/series?support=S-0106").json["items"]
    assert (line["series"], line["unit"], line["readings"]) == ("settlement", "mm", 1)


def test_an_inspection_is_amended_and_withdrawn(fresh):
    look = {"support": "S-0106", "date": "2026-05-20", "inspector": "Ilse",
            "kind": "baseline"}  # fmt: skip
    fresh.post("/inspections", json=look)
    which = {"support": "S-0106", "on": "2026-05-20", "reason": "it was Mira"}

    amended = fresh.post(
        "/inspections/amendments", json=which | {"new_inspector": "Mira"}
    )
    gone = fresh.post("/inspections/withdrawals", json=which)

    assert amended.json["inspector"] == "Mira"
    assert gone.json["withdrawn"] is True


def test_a_limit_is_set_and_read_again(fresh):
    limit = {"support": "S-0101", "series": "settlement", "basis": "absolute",
             "watch": "10 mm", "act": "20 mm", "reason": "soft ground"}  # fmt: skip

    answer = fresh.post("/limits", json=limit)

    assert answer.status_code == 201, answer.json
    assert (answer.json["watch"], answer.json["act"]) == (10.0, 20.0)
    assert fresh.get("/limits?support=S-0101&series=settlement").json["items"] == [
        answer.json
    ]


def test_an_event_is_entered_once_ended_and_withdrawn(fresh):
    first = fresh.post("/events", json=STORM)
    again = fresh.post("/events", json=STORM)
    assert first.status_code == 201, first.json
    key = first.json["id"]

    right = fresh.post(
        "/events/corrections",
        json={"event": key, "command": STORM | {"size": "95 km/h"}, "reason": "gauge"},
    )
    over = fresh.post(
        "/events/ends", json={"event": right.json["id"], "ended_on": "2026-05-31"}
    )
    gone = fresh.post(
        "/events/withdrawals", json={"event": right.json["id"], "reason": "no storm"}
    )

    assert again.json["id"] == key
    assert right.status_code == 201, right.json
    assert right.json["id"] != key
    assert over.json["ended_on"] == "2026-05-31"
    assert gone.json["withdrawn"] is True


def test_a_look_is_put_off_once_and_taken_back_with_a_reason(fresh, context):
    with context.store.write_session() as session:
        plan_all(session, now=NOON)
        due = next(d for d in records.DUES.all(session) if d.rule not in HELD_FAST)
        code = records.SUPPORTS.get(session, due.support_id).code
    later = max(due.due_on, NOON.date()) + timedelta(days=10)
    wish = {"support": code, "until_on": later.isoformat(),
            "reason": "bridge “closed” 🌳", "name": "Maren"}  # fmt: skip

    early = fresh.post("/deferrals", json=wish | {"until_on": "2001-01-01"})
    first = fresh.post("/deferrals", json=wish)
    again = fresh.post("/deferrals", json=wish)
    silent = fresh.post("/deferrals/withdrawals", json={"support": code, "reason": ""})
    back = fresh.post("/deferrals/withdrawals", json={"support": code, "reason": "dry"})

    assert (early.status_code, early.json["field"]) == (422, "until_on")
    assert first.status_code == 201, first.json
    assert (first.json["until_on"], first.json["name"]) == (wish["until_on"], "Maren")
    assert again.status_code == 422
    assert (silent.status_code, silent.json["field"]) == (422, "reason")
    assert back.json["withdrawn"] is True
    assert back.json["supersedes_id"] == first.json["id"]
    assert fresh.get(f"/deferrals?support={code}").json["items"] == []


def test_a_policy_is_read_changed_and_adopted_once(context):
    server, program = _as(context, Role.MANAGER)
    policy = program.get("/policy").json
    changed = policy["content"] | {"name": "Tighter"}

    first = program.post("/policy", json={"content": changed, "reason": "after 2026"})
    again = program.post("/policy", json={"content": changed, "reason": "after 2026"})

    assert first.status_code == 201, first.json
    assert first.json["version"] == policy["version"] + 1
    assert (again.status_code, again.json["code"]) == (409, "pol-003")
    assert program.get("/policy").json["content"]["name"] == "Tighter"
    assert server is program.client.application


def test_a_support_is_registered(fresh):
    draft = {
        "code": "S-0777",
        "site": {"code": "V-77", "name": "Mill Row", "owner": "City of Velmarsh"},
        "tree": {"code": "T1", "species": "oak"},
        "members": [{"code": "P1", "kind": "post", "installed_on": "2020-05-14",
                     "facts": {"material": "steel"}, "marks": ["plate"]}],
    }  # fmt: skip

    answer = fresh.post("/supports", json=draft)

    assert answer.status_code == 201, answer.json
    assert fresh.get(f"/supports/{answer.json['id']}").json == answer.json
    (member,) = fresh.get("/members?support=S-0777").json["items"]
    assert member["code"] == "P1"


def _as(context, role):
    from dashboard.app import create_app

    server = create_app(context).server
    with context.store.write_session() as session:
        new = NewAccount(f"A {role.value}", "", role, "oak beam and rope")
        account = access.add_account(session, new, actor="test", now=NOON)
        wish = Wish(KeyKind.TOKEN, "test", KeyScope.RECORD)
        token = make_key(session, account, wish, by=("test", NOON))[1]
    return server, Program(server, token)


@pytest.mark.parametrize("role", [Role.AUDITOR, Role.INSPECTOR, Role.MANAGER])
def test_a_role_does_what_it_may_and_no_more(context, role):
    _, program = _as(context, role)

    refused = {
        deed.name
        for deed in DEEDS
        if program.post(deed.path, json={}).status_code == 403
    }

    assert refused == {deed.name for deed in DEEDS if not may(role, deed.right)}
    assert may(Role.MANAGER, Right.SET_POLICY)


def test_a_token_that_reads_only_does_nothing(reads_only):
    for deed in DEEDS:
        assert reads_only.post(deed.path, json={}).status_code == 403, deed.name


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ("[1]", "body"),
        ('{"support": ', "body"),
        ("[" * 50_000, "body"),
        (json.dumps(WORK | {"kind": ["x"]}), "kind"),
        (json.dumps(WORK | {"colour": "red"}), "colour"),
        (json.dumps(WORK | {"done_on": "31/12/68"}), "done_on"),
        (json.dumps(WORK | {"note": "x" * 4001}), "note"),
        (json.dumps(WORK | {"note": "a\x00b"}), "note"),
        ('{"support": "\\ud800"}', "support"),
        (json.dumps(WORK | {"closes": ["x"] * 201}), "closes"),
        (json.dumps(WORK | {"successor": {"code": "P2"}}), "successor.kind"),
        (json.dumps({"support": "S-0106"}), "done_on"),
    ],
)
def test_a_wrong_body_is_refused_by_the_name_of_the_field(program, body, field):
    answer = program.post("/works", data=body, content_type="application/json")

    assert (answer.status_code, answer.json["field"]) == (422, field)


def test_every_body_is_described_with_the_fields_of_its_command(program):
    said = program.get("/openapi.json").json

    for deed in DEEDS:
        body = said["paths"][f"/api/v1{deed.path}"]["post"]["requestBody"]
        name = body["content"]["application/json"]["schema"]["$ref"].split("/")[-1]
        described = said["components"]["schemas"][name]
        assert set(described["properties"]) == set(body_schema(deed.command)().fields)
        assert described["additionalProperties"] is False
