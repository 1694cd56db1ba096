"""Erasing a name: gone everywhere, while every fact, hash and proof stays."""

import json
from datetime import UTC, datetime, timedelta

import pytest

from monitor.errors import Conflict, InvalidInput, NotFound
from monitor.exchange.archive_verifier import check_archive
from monitor.services.keeping.archive import write_archive
from monitor.services.keeping.checkpoints import make_checkpoint
from monitor.services.keeping.erase import (
    Request,
    erase,
    held_names,
    place_hold,
    release_hold,
)
from monitor.services.keeping.verify import Asked, verify
from monitor.store import ledger, records
from tests.keeping.tamper import unguarded
from tests.keeping.world import build

NOW = datetime(2027, 6, 1, tzinfo=UTC)
INES = Request("Ines Falk", "request of 3 May 2027", "GDPR article 17")


@pytest.fixture
def built(any_store, tmp_path):
    return any_store, build(any_store, tmp_path / "photos")


def erased(store, request=INES):
    with store.write_session() as session:
        return erase(session, request, actor="Edda", now=NOW)


def verdict(store, files, against=None):
    with store.read_session() as session:
        return verify(Asked(session, files, against))


def test_the_name_is_gone_and_the_record_still_holds(built, tmp_path):
    store, files = built
    with store.read_session() as session:
        checkpoint = make_checkpoint(session, now=NOW)

    done = erased(store)

    found = verdict(store, files, checkpoint)
    assert found.broken == ()
    assert done.rows == 18
    with store.read_session() as session:
        inspectors = {visit.inspector for visit in records.INSPECTIONS.all(session)}
        words = [
            (entry.change.actor, json.loads(entry.change.payload))
            for entry in ledger.entries(session)
        ]
    assert inspectors == {done.instead}
    assert not any(actor == INES.name for actor, _ in words)
    assert f'"{INES.name}"' not in json.dumps(words, ensure_ascii=False)


def test_running_text_that_holds_the_name_is_named_for_a_person_to_look_at(built):
    store, _ = built

    done = erased(store)

    assert len(done.mentions) == 18
    assert all(mention.startswith("inspection ") for mention in done.mentions)


def test_the_archive_after_an_erasure_verifies_on_its_own(built, tmp_path):
    store, files = built
    with store.read_session() as session:
        made = make_checkpoint(session, now=NOW)
    erased(store)
    with store.read_session() as session:
        write_archive(session, files, tmp_path / "archive", now=NOW)

    told = {"size": made.head.size, "root": made.head.root}
    assert list(check_archive(tmp_path / "archive", told)) == []


def test_facts_of_erased_entries_can_still_not_be_changed(built):
    store, files = built
    erased(store)
    with unguarded(store) as connection:
        connection.exec_driver_sql(
            "UPDATE reading SET value = value + 1 WHERE quantity = 'gap'"
        )

    assert verdict(store, files).broken[0].what == "row"


def test_what_an_erasure_left_can_not_be_changed_unnoticed(built):
    store, files = built
    erased(store)
    with unguarded(store) as connection:
        connection.exec_driver_sql("UPDATE ledger SET payload = '{}' WHERE seq = 4")

    assert "changed after an erasure" in str(verdict(store, files).broken[0])


def test_words_that_vanish_without_an_erasure_are_missed(built):
    store, files = built
    with unguarded(store) as connection:
        connection.exec_driver_sql(
            "UPDATE ledger SET payload = '{}', actor = '', salt = '' WHERE seq = 4"
        )

    assert verdict(store, files).broken[0].where == "4"


def test_the_tombstone_says_when_why_and_by_what_right(built):
    store, _ = built
    erased(store)

    with store.read_session() as session:
        *_, begun, done = ledger.entries(session)
    assert [begun.change.action, done.change.action] == [
        "erasure begun", "erasure done",
    ]  # fmt: skip
    assert json.loads(begun.change.payload) == {
        "reason": INES.reason, "basis": INES.basis,
    }  # fmt: skip
    assert done.change.recorded_at == NOW


def test_a_second_person_can_be_erased_from_the_same_entries(built):
    store, files = built
    erased(store)

    erased(store, Request("Corbel & Fern Supports", "request", "contract"))

    assert verdict(store, files).broken == ()


def test_a_legal_hold_forbids_it_until_it_is_released(built):
    store, files = built
    by = ("Edda", NOW)
    with store.write_session() as session:
        place_hold(session, INES.name, reason="claim 12 of 2027", by=by)

    with pytest.raises(Conflict, match="claim 12 of 2027"):
        erased(store)
    with store.write_session() as session:
        release_hold(session, INES.name, reason="claim settled", by=by)
        assert held_names(session) == {}
    erased(store)

    assert verdict(store, files).broken == ()


@pytest.mark.parametrize(
    ("request_", "error"),
    [
        (Request("Ines Falk", "", "law"), InvalidInput),
        (Request("Ines Falk", "asked", " "), InvalidInput),
        (Request("Nobody", "asked", "law"), NotFound),
    ],
)
def test_an_erasure_wants_a_person_a_reason_and_a_right(built, request_, error):
    store, _ = built

    with pytest.raises(error):
        erased(store, request_)


def test_erasing_is_seen_at_once_and_the_next_entry_is_as_ever(built):
    store, files = built
    erased(store)
    with store.write_session() as session:
        later = NOW + timedelta(days=1)
        ledger.append(session, [("noted", "note", {})], actor="Edda", now=later)

    with pytest.raises(Conflict, match="is kept"), store.write_session() as session:
        session.connection().exec_driver_sql("UPDATE inspection SET inspector = 'x'")
    assert verdict(store, files).broken == ()
