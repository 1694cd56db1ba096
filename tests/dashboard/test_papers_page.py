"""The page of papers: asking, following, fetching, checking."""

import io
import re
import time
from urllib.parse import parse_qs, urlsplit

import pytest

from monitor.store import ledger_nodes
from monitor.store.ledger import append
from tests.conftest import NOON
from tests.dashboard.conftest import OWN
from tests.dashboard.pressing import page_words, show, tags_of
from tests.reports.paper import read

WISH = {"kind": "condition report", "scope": "support", "name": "s-0102", "size": "a4"}


def ask(client, **more):
    answer = client.post("/papers/make", data=WISH | more, headers=OWN)
    assert answer.status_code == 303
    return answer.headers["Location"]


def ready(client, address):
    search = f"?{urlsplit(address).query}"
    for _ in range(1200):
        words = page_words(client, "/papers", search)
        if "Fetch the PDF" in words:
            return words
        assert "could not be made" not in words, words
        time.sleep(0.05)
    raise AssertionError(words)


def test_a_paper_is_asked_for_followed_and_fetched(client, auditor, tmp_path):
    address = ask(client)
    key = parse_qs(urlsplit(address).query)["made"][0]

    words = ready(client, address)
    answer = client.get(f"/papers/file/{key}")

    assert "Condition report, s-0102 is ready." in words
    assert answer.mimetype == "application/pdf"
    assert "condition-report-s-0102" in answer.headers["Content-Disposition"]
    assert "S-0102" in read(answer.data, tmp_path).words
    assert auditor.get(f"/papers/file/{key}").status_code == 404
    assert "Made before" in page_words(client, "/papers")
    assert "Made before" not in page_words(auditor, "/papers")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"name": "S-9999"}, "S-9999"),
        ({"name": ""}, "Name the support"),
        ({"kind": "letter"}, "is none of"),
        ({"known_on": "yesterday"}, "is no day"),
        ({"known_on": "2999-01-01"}, "not over yet"),
        ({"kind": "hand-over dossier"}, "is of one site"),
    ],
)
def test_a_wish_that_can_not_be_met_comes_back_with_the_reason(client, given, said):
    address = ask(client, **given)

    words = page_words(client, "/papers", f"?{urlsplit(address).query}")

    assert said in words
    assert "is being made" not in words


def test_every_field_has_its_label(reader):
    page = show(reader, "/papers")["shell-page"]["children"]

    assert tags_of(page).count("Label") == tags_of(page).count("Select") + 5
    assert "Make the paper" in page_words(reader, "/papers")


def test_a_file_in_hand_is_known_if_it_was_issued_here(client, tmp_path):
    address = ask(client)
    ready(client, address)
    key = parse_qs(urlsplit(address).query)["made"][0]
    pdf = client.get(f"/papers/file/{key}").data

    said = {}
    for name, body in (("right", pdf), ("changed", pdf + b" "), ("none", b"")):
        form = {"paper": (io.BytesIO(body), "paper.pdf")}
        answer = client.post("/papers/check", data=form, headers=OWN)
        search = urlsplit(answer.headers["Location"]).query
        said[name] = page_words(client, "/papers", f"?{search}")

    assert "This file was issued here on" in said["right"]
    assert "condition report of support S-0102" in said["right"]
    assert "issued here on" not in said["changed"]
    assert "This says nothing of what stands in it" in said["changed"]
    assert "Choose the file first" in said["none"]


def test_a_stranger_and_another_site_get_nothing(stranger, client):
    assert stranger.get("/papers/file/x").status_code == 401
    assert stranger.post("/papers/make", data=WISH, headers=OWN).status_code == 401
    assert client.post("/papers/make", data=WISH).status_code == 403
    assert client.get("/papers/file/no-such-key").status_code == 404


def test_the_square_on_a_paper_leads_to_its_check(client, context):
    with context.store.write_session() as session:
        append(session, [("noted", "support S-0101", {})], actor="Ines", now=NOON)
        head = ledger_nodes.head(session)

    right = page_words(client, "/papers", f"?size={head.size}&root={head.root}")
    wrong = page_words(client, "/papers", f"?size={head.size}&root={'0' * 64}")
    odd = page_words(client, "/papers", "?size=x&root=y")

    assert re.search(r"begins with the \d+ entries of that paper", right)
    assert "was something else" in wrong
    assert "no fingerprint of a paper" in odd
