"""The form's addresses: behind the gate, kind about nonsense, light on the wire."""

import json
import re
from dataclasses import replace
from datetime import timedelta

import pytest

from dashboard.field.shell import WEB, shell
from monitor.store import records
from tests.conftest import NOON
from tests.dashboard.conftest import OWN
from tests.field.phone import a_body, post, put, sha

PATHS = (
    "/field/", "/field/service-worker.js", "/field/web/main.js", "/field/tag/S-0101",
    "/field/api/start", "/field/api/round?codes=S-0101", "/field/tags?codes=S-0101",
    "/field/sheet?codes=S-0101", f"/field/api/photos/{'0' * 64}",
)  # fmt: skip
JPEG = b"\xff\xd8\xff\xe0" + b"oak" * 500


@pytest.mark.parametrize("path", PATHS)
def test_a_stranger_gets_nothing_of_the_form(stranger, path):
    assert stranger.get(path).status_code == 401


@pytest.mark.parametrize("path", PATHS)
def test_a_signed_in_phone_gets_all_of_it(client, path):
    assert client.get(path).status_code in {200, 302}


def test_a_form_from_a_stranger_is_told_to_sign_in_and_not_taken(stranger, context):
    assert post(stranger, a_body()).status_code == 401
    assert put(stranger, JPEG, 0, 9).status_code == 401
    with context.store.read_session() as session:
        source = records.INSPECTIONS.table.c.source
        assert records.INSPECTIONS.all(session, source == "field form") == []


def test_a_form_from_another_site_is_refused(client):
    headers = {"Sec-Fetch-Site": "cross-site"}
    body = json.dumps(a_body())

    answer = client.post("/field/api/inspections", data=body, headers=headers)

    assert answer.status_code == 403


def test_an_account_that_only_reads_can_not_send(auditor):
    for answer in (
        post(auditor, a_body()),
        post(auditor, a_body(), path="set-aside"),
        put(auditor, JPEG, 0, len(JPEG)),
    ):
        assert answer.status_code == 403
        assert "does not add to it" in answer.json["sentence"]


@pytest.mark.parametrize(
    "body",
    [
        b"", b"{", b"[]", b"null", b'{"form": 1}', b'"form"', b"\xff\xfe", b"[" * 9999,
        json.dumps(a_body(id="five")).encode(),
        json.dumps(a_body(inspected_on="yesterday")).encode(),
        json.dumps(a_body(inspected_on="0000-00-00")).encode(),
        json.dumps(a_body(readings={})).encode(),
        json.dumps(a_body(readings=[5])).encode(),
        json.dumps(a_body(readings=[{"quantity": 5}])).encode(),
        json.dumps(a_body(readings=[{"quantity": "wall", "sd": "wide"}])).encode(),
        json.dumps(a_body(readings=[{"quantity": "wall", "sd": 10**400}])).encode(),
        json.dumps(a_body(sure=[["x"]])).encode(),
        json.dumps(a_body(note="x" * 10_001)).encode(),
        json.dumps(a_body(note="\0")).encode(),
        json.dumps(a_body(note="\ud800")).encode(),
        json.dumps(a_body(device_at="noon")).encode(),
        json.dumps(a_body(device_at="9999-12-31T23:59:59-14:00")).encode(),
        json.dumps({**a_body(), "photos": [{"sha256": "../x"}]}).encode(),
        json.dumps({**a_body(), "air": float("nan")}).encode(),
        b"x" * 500_001,
    ],
)  # fmt: skip
def test_nonsense_is_refused_in_words_and_writes_nothing(client, context, body):
    answer = post(client, body)

    assert answer.status_code == 422
    assert answer.json["sentence"]
    with context.store.read_session() as session:
        source = records.INSPECTIONS.table.c.source
        assert records.INSPECTIONS.all(session, source == "field form") == []


def test_a_form_of_last_years_version_is_told_to_load_anew(client):
    answer = post(client, a_body(form=0))

    assert answer.status_code == 422
    assert "what is on the phone stays there" in answer.json["sentence"]


def test_a_form_is_recorded_and_assessed_when_the_answer_is_there(client, context):
    answer = post(client, a_body())

    assert answer.status_code == 200
    with context.store.read_session() as session:
        support = records.SUPPORTS.find(session, code="S-0101")
        due = records.DUES.find(session, support_id=support.id)
    assert due.computed_at == NOON


def test_a_phone_that_says_no_time_is_not_called_wrong(client):
    answer = post(client, a_body(), at=None)

    assert answer.json["receipt"]["clock_off_s"] == 0


def test_a_wrong_clock_is_said_in_the_receipt(client):
    answer = post(client, a_body(), at=NOON - timedelta(minutes=17))

    assert answer.json["receipt"]["clock_off_s"] == -17 * 60
    assert "17 minutes" in answer.json["receipt"]["sentence"]


def test_an_unreadable_number_comes_back_with_the_choice_to_keep_the_rest(client):
    answer = post(client, a_body(text="about nine"))

    question = answer.json["question"]
    assert answer.status_code == 422
    assert question["about"] == "problems"
    assert "about nine" in question["choices"][0]["changes"]["note"]


def test_a_spread_measured_with_the_phone_is_the_noise_of_its_reading(client, context):
    body = a_body()
    body["readings"][1] |= {"method": "inclinometer", "sd": 2.4}
    assert post(client, body).status_code == 200

    with context.store.read_session() as session:
        table = records.READINGS.table.c
        made = records.READINGS.all(session, table.quantity == "tilt_x")
    (reading,) = [one for one in made if str(one.inspection_id) == body["id"]]
    # By hand: √(1.75² + 2.4²), the first of them the usual noise of one face.
    assert reading.sd_instrument == pytest.approx(2.970, abs=0.001)


@pytest.mark.parametrize("sd", [0, -1.5, 1e300])
def test_a_spread_that_can_not_be_comes_back_as_a_question(client, sd):
    body = a_body()
    body["readings"][1]["sd"] = sd

    answer = post(client, body)

    assert answer.json["question"]["about"] == "problems"
    assert "standard deviation" in answer.json["question"]["sentence"]


def test_a_finding_named_twice_is_one_with_both_notes_and_the_graver_grade(
    client, context
):
    findings = [
        {"code": "other", "grade": "note", "note": "nest"},
        {"code": "other", "grade": "act", "note": "Work needed: lift the screw"},
    ]
    assert post(client, a_body(findings=findings)).status_code == 200

    with context.store.read_session() as session:
        found = records.FINDINGS.all(session, records.FINDINGS.table.c.code == "other")
    assert [(f.grade.value, f.note) for f in found] == [
        ("act", "nest; Work needed: lift the screw")
    ]


@pytest.mark.parametrize(
    "query", ["", "?within=soon", "?within=-1", "?codes=S-9999", "?within=99999999"]
)
def test_a_round_that_can_not_be_is_said_in_words(client, query):
    answer = client.get(f"/field/api/round{query}")

    assert answer.status_code in {404, 422}
    assert answer.json["sentence"]


@pytest.mark.parametrize("query", ["", "?from=x&of=9", "?from=0", "?from=9&of=3"])
def test_a_piece_that_does_not_fit_is_refused(client, query):
    answer = client.put(f"/field/api/photos/{sha(JPEG)}{query}", data=JPEG, headers=OWN)

    assert answer.status_code == 422


def test_python_files_are_not_served(client):
    for name in ("routes.py", "service-worker.js", "nothing.js"):
        assert client.get(f"/field/web/{name}").status_code == 404


def test_the_form_weighs_less_than_250_kb_with_one_support(client):
    paths = ["/field/", "/field/service-worker.js"]
    paths += [f"/field/web/{name}" for name in shell().files if name[-5:] != ".html"
              and name not in {"service-worker.js", "paper.css"}]  # fmt: skip
    paths.append("/field/api/round?codes=S-0101")

    size = sum(len(client.get(path).data) for path in paths)

    assert size <= 250_000


def test_the_worker_keeps_every_file_the_page_and_its_scripts_ask_for(client):
    worker = client.get("/field/service-worker.js").text
    kept = set(re.findall(r'"web/([\w.-]+)"', worker.splitlines()[1]))
    asked = set(re.findall(r'"web/([\w.-]+)"', client.get("/field/").text))
    for path in WEB.glob("*.js"):
        asked |= set(re.findall(r'from "\./([\w.-]+)"', path.read_text()))

    assert asked <= kept
    assert client.get("/field/web/main.js").headers["X-Form-Version"] in worker


def test_the_version_changes_with_any_byte_of_any_file(tmp_path, monkeypatch):
    monkeypatch.setattr("dashboard.field.shell.WEB", tmp_path)
    (tmp_path / "main.js").write_text("one")
    first = shell.__wrapped__()
    (tmp_path / "main.js").write_text("two")

    assert shell.__wrapped__().version != first.version


def test_the_square_on_a_tag_leads_to_the_form(client):
    page = client.get("/field/tags?codes=S-0101,s-0102").text

    assert page.count("<svg") == 2
    assert "http://localhost/field/tag/S-0101" in page
    assert "<b>S-0102</b>" in page
    assert client.get("/field/tag/S-0101").location == "/field/#/S-0101"


def test_the_sheet_asks_for_the_same_readings_as_the_form(client):
    made = client.get("/field/api/round?codes=S-0101").json
    words = made["quantities"]
    page = client.get("/field/sheet?codes=S-0101").text.casefold()

    for member in made["supports"][0]["members"]:
        for mark in member["marks"]:
            assert f"{member['code']}, {mark['code']}".casefold() in page
            for reading in mark["readings"]:
                assert words[reading["quantity"]]["label"] in page
    for code in ("could not reach", "cracked weld", "make safe", "screening only"):
        assert code in page


def test_what_people_typed_comes_onto_paper_as_text_and_never_as_markup(
    client, context
):
    with context.store.write_session() as session:
        support = records.SUPPORTS.find(session, code="S-0101")
        records.SUPPORTS.change(session, replace(support, reason="<script>x</script>"))

    assert "<script>" not in client.get("/field/sheet?codes=S-0101").text
