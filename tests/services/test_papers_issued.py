"""Papers that go out leave their hash in the ledger, and are known again by it."""

from datetime import date

import pytest

from monitor.clock import FixedClock
from monitor.errors import InvalidInput, NotFound
from monitor.services.keeping.checkpoints import prove
from monitor.services.papers.desk import PaperDesk
from monitor.services.papers.issued import (
    issue,
    sha256_of,
    subject_of,
    who_issued,
)
from monitor.services.papers.make import House, Made, make_paper
from monitor.services.papers.wish import PaperKind, PaperWish, Scope
from monitor.services.recording.checks import Stamp
from monitor.store import ledger
from monitor.store.photos import PhotoFiles
from tests.build import a_support
from tests.conftest import NOON
from tests.services.test_papers_desk import over

OWNED = PaperWish(scope=Scope.OWNER, name="City of Velmarsh")


@pytest.fixture
def house(store, tmp_path):
    return House(store, store, PhotoFiles(tmp_path / "photos"), "")


def test_the_entry_says_what_was_issued_and_names_the_owner_by_id_only(store, house):
    with store.write_session() as session:
        a_support(session)

    made = make_paper(house, OWNED, NOON)
    with store.write_session() as session:
        digest = issue(session, made, Stamp("Ines", NOON))

    with store.read_session() as session:
        (entry,) = ledger.entries(session, subject=subject_of(digest))
        said = who_issued(session, digest.upper())
    assert digest == sha256_of(made.pdf)
    assert "Velmarsh" not in entry.change.payload
    assert made.about.startswith("party ")
    assert "condition report of City of Velmarsh" in said
    assert "for Ines" in said


def test_a_paper_of_a_past_day_says_which(store):
    known = NOON.replace(year=2020)
    made = Made(
        b"%PDF", "x.pdf", 2, 1, PaperKind.CERTIFICATE, "support S-1", known_at=known
    )
    with store.write_session() as session:
        digest = issue(session, made, Stamp("Ines", NOON))
        said = who_issued(session, digest)

    assert f"as known at {known.isoformat()}" in said
    assert "inspection certificate of support S-1" in said


@pytest.mark.parametrize("content", [b"", b"%PDF!", b"\x00" * 100])
def test_a_file_that_was_not_issued_is_not_known(store, content):
    with store.write_session() as session:
        issue(session, Made(b"%PDF", "x.pdf", 1, 1), Stamp("Ines", NOON))

        with pytest.raises(NotFound):
            who_issued(session, sha256_of(content))


@pytest.mark.parametrize("digest", ["", "abc", "g" * 64, "0" * 65, "٣" * 64])
def test_what_is_no_hash_is_refused(store, digest):
    with store.read_session() as session, pytest.raises(InvalidInput) as refused:
        who_issued(session, digest)

    assert refused.value.code == "pap-008"


def test_a_stranger_gets_a_proof_that_it_was_issued(store):
    made = Made(b"%PDF", "x.pdf", 1, 1, about="site V")
    with store.write_session() as session:
        digest = issue(session, made, Stamp("Ines", NOON))

        proof = prove(session, subject_of(digest), now=NOON)

    assert len(proof["entries"]) == 1
    assert digest in str(proof["entries"][0])


def test_what_the_desk_hands_out_is_noted_for_whoever_asked(store, house, tmp_path):
    with store.write_session() as session:
        support = a_support(session).support
    wish = PaperWish(scope=Scope.SUPPORT, name=support.code, known_on=date(2099, 1, 1))
    desk = PaperDesk(tmp_path / "papers", FixedClock(NOON))

    refused = over(desk, desk.ask(house, wish, asked_by="Ines"))
    key = desk.ask(house, PaperWish(scope=Scope.SUPPORT, name=support.code),
                   asked_by="Ines")  # fmt: skip
    done = over(desk, key)

    _, pdf = desk.pdf(key, "Ines")
    with store.read_session() as session:
        said = who_issued(session, sha256_of(pdf))
        noted = [
            e for e in ledger.entries(session) if e.change.action == "paper issued"
        ]
    assert (refused.outcome, done.outcome) == ("failed", "done")
    assert "for Ines" in said
    assert len(noted) == 1
