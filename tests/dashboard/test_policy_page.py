"""The policy page: edited as a table, tried, and only then adopted."""

import json

import pytest

from dashboard.app import create_app
from dashboard.components.policy_form import policy_form, policy_from, step_text
from monitor.domain.vocabulary import Consequence, MemberKind, Occupancy, Role
from monitor.errors import InvalidInput
from monitor.schedule.default_policy import default_policy
from monitor.schedule.policy import Cell
from monitor.schedule.policy_record import to_plain
from monitor.services import access
from monitor.services.planning.policy import policy_in_force
from tests.dashboard.conftest import OWN, signed_in_client
from tests.dashboard.pressing import UPDATE, page_words, plain, words_of

KEY = "routine|post|frequent|significant"
PARTS = ("step", "source", "rule")


def fields_of(policy):
    """What stands in every field of the form, by part and key."""
    found = {part: {} for part in PARTS}

    def walk(node):
        if isinstance(node, list):
            for part in node:
                walk(part)
        elif isinstance(node, dict):
            props = node.get("props", {})
            key = props.get("id")
            if isinstance(key, dict):
                found[key["type"].removeprefix("policy-")][key["key"]] = props["value"]
            for part in node.values():
                walk(part)

    walk(plain(policy_form(policy)))
    return found


def read_back(fields, policy):
    return policy_from(
        to_plain(policy), "", fields["step"], fields["source"], fields["rule"]
    )


def test_the_untouched_form_says_what_it_was_filled_from():
    policy = default_policy()

    assert read_back(fields_of(policy), policy) == policy


def test_every_field_finds_its_place():
    policy = default_policy()
    fields = fields_of(policy)
    fields["step"][KEY] = "9"
    fields["source"][KEY] = "decision of the office"
    fields["step"]["detailed|pin|rare|minor"] = "7 d"
    fields["source"]["detailed|pin|rare|minor"] = "decision of the office"
    fields["rule"]["follow_up_months"] = "2, 4"
    fields["rule"]["findings/act/first_days"] = "30"
    fields["rule"]["window/late_days"] = "20"
    fields["rule"]["after_work_months/repair"] = "1, 2"

    changed = read_back(fields, policy)

    post = (MemberKind.POST, Occupancy.FREQUENT, Consequence.SIGNIFICANT)
    pin = (MemberKind.PIN, Occupancy.RARE, Consequence.MINOR)
    assert changed.routine[post] == Cell(9, "decision of the office")
    assert changed.detailed[pin] == Cell(0, "decision of the office", 7)
    assert changed.follow_up_months == (2, 4)
    assert changed.window.late_days == 20
    assert 30 in {rule.first_days for rule in changed.findings.values()}
    assert (1, 2) in changed.after_work_months.values()


@pytest.mark.parametrize(
    ("part", "key", "text", "words"),
    [
        ("step", KEY, "", "expected months such as 15"),
        ("step", KEY, "soon", "Post, frequent use, significant: found “soon”"),
        ("step", KEY, "0", "must be at least 1 day"),
        ("source", KEY, " ", "names no source"),
        ("rule", "first_gaps", "x", "expected a whole number"),
        ("rule", "window/late_days", "400", "runs into the next one"),
    ],
)
def test_what_can_not_work_is_refused_in_words(part, key, text, words):
    fields = fields_of(default_policy())
    fields[part][key] = text

    with pytest.raises(InvalidInput, match=words):
        read_back(fields, default_policy())


def test_an_interval_is_shown_as_it_is_typed():
    assert step_text(Cell(15, "x")) == "15"
    assert step_text(Cell(0, "x", 7)) == "7 d"
    assert step_text(Cell(1, "x", 7)) == "1 m 7 d"


@pytest.fixture
def manager(context):
    with context.store.write_session() as session:
        new = access.NewAccount("Tomas", "", Role.MANAGER, "larch and iron ring")
        access.add_account(session, new, actor="test", now=context.clock.now())
    return signed_in_client(create_app(context), context, "Tomas")


def tried(client, fields):
    keys = {p: [{"type": f"policy-{p}", "key": k} for k in fields[p]] for p in PARTS}
    state = [
        {"id": "policy-base", "property": "data", "value": to_plain(default_policy())},
        {"id": "policy-name", "property": "value", "value": "proposal"},
    ]
    for prop in ("value", "id"):
        for part in PARTS:
            values = list(fields[part].values()) if prop == "value" else keys[part]
            state.append(
                [
                    {"id": key, "property": prop, "value": value}
                    for key, value in zip(keys[part], values, strict=True)
                ]
            )
    body = {
        "output": "..policy-effect.children...policy-tried.data..",
        "outputs": [
            {"id": "policy-effect", "property": "children"},
            {"id": "policy-tried", "property": "data"},
        ],
        "inputs": [{"id": "policy-ask", "property": "n_clicks", "value": 1}],
        "state": state,
        "changedPropIds": ["policy-ask.n_clicks"],
    }
    answer = client.post(UPDATE, json=body, headers=OWN)
    assert answer.status_code == 200, answer.text
    said = answer.get_json()["response"]
    return words_of(said["policy-effect"]["children"]), said["policy-tried"]["data"]


def adopted(client, policy, reason):
    body = {
        "output": "policy-answer.children",
        "outputs": {"id": "policy-answer", "property": "children"},
        "inputs": [{"id": "policy-adopt", "property": "n_clicks", "value": 1}],
        "state": [
            {"id": "policy-tried", "property": "data", "value": policy},
            {"id": "policy-reason", "property": "value", "value": reason},
        ],
        "changedPropIds": ["policy-adopt.n_clicks"],
    }
    return client.post(UPDATE, json=body, headers=OWN).text


def test_the_effect_is_shown_and_then_it_is_adopted(manager, context):
    fields = fields_of(default_policy())
    fields["step"][KEY] = "6"

    words, policy = tried(manager, fields)

    assert "more visits a year" in words
    assert "would be due" in words.casefold()
    with context.store.read_session() as session:
        assert policy_in_force(session).version == 1
    assert "Say why" in adopted(manager, policy, "")
    assert "Version 2 is in force" in adopted(manager, policy, "near miss")
    page = page_words(manager, "/policy")
    assert "Version 2, “proposal”, adopted by Tomas on 1 June 2026" in page
    assert "near miss" in page
    assert "policy version 2" in page_words(manager, "/supports/S-0106")


def test_nothing_is_adopted_that_was_not_tried(manager):
    assert "See first what it would change" in adopted(manager, None, "near miss")


def test_an_inspector_reads_the_policy_and_does_not_adopt_it(client):
    assert "Only a manager" in adopted(client, to_plain(default_policy()), "x")


def test_an_older_version_stays_readable(reader):
    words = page_words(reader, "/policy", "?version=1")

    assert "a proposal to start from" in words
    assert "Lifting Equipment Regulations 1998" in words
    assert "No policy version “7”" in page_words(reader, "/policy", "?version=7")


def test_a_nonsense_policy_from_the_browser_is_refused(manager):
    assert "can not be read" in json.loads(
        json.dumps(adopted(manager, {"name": "x"}, "near miss"))
    )
