"""Verifying: what was changed behind the program's back is found and named."""

import hashlib
import json
import random
import re
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest
import sqlalchemy as sa

from monitor.domain import ledger as rules
from monitor.domain import ledger_tree
from monitor.domain.checkpoints import Checkpoint, from_text, to_text
from monitor.domain.ledger_tree import TreeHead
from monitor.errors import InvalidInput, NotFound
from monitor.exchange import archive_verifier as outside
from monitor.services.keeping.checkpoints import (
    keep_checkpoint,
    make_checkpoint,
    prove,
    prove_growth,
    read_checkpoint,
)
from monitor.services.keeping.fixity import due_today, look_at, photo_hashes
from monitor.services.keeping.verify import Asked, verify
from monitor.store import ledger, records
from tests.keeping.tamper import TABLES, reseal, unguarded
from tests.keeping.tampering import attempt, tampering_of
from tests.keeping.world import build

NOW = datetime(2026, 6, 1, tzinfo=UTC)


@pytest.fixture
def built(any_store, tmp_path):
    files = build(any_store, tmp_path / "photos")
    return any_store, files


@pytest.fixture
def small(sqlite_store, tmp_path):
    return sqlite_store, build(sqlite_store, tmp_path / "photos")


def checkpoint_of(store):
    with store.read_session() as session:
        return make_checkpoint(session, now=NOW)


def verdict(store, files=None, against=None):
    with store.read_session() as session:
        return verify(Asked(session, files, against))


def test_a_record_that_nobody_touched_holds(built):
    store, files = built

    found = verdict(store, files, checkpoint_of(store))

    assert found.broken == ()
    assert found.photos == 3
    assert found.rows > 60
    with store.read_session() as session:
        assert found.head == TreeHead(*_head(session))


def _head(session):
    made = make_checkpoint(session, now=NOW)
    return made.head.size, made.head.root


def test_every_row_that_the_services_write_is_vouched_for(small):
    store, _ = small
    with store.read_session() as session:
        entries = list(ledger.entries(session))

    told = {(t, k) for e in entries for t, k, _ in json.loads(e.seal.rows)}
    assert {t for t, _ in told} >= {
        "party", "site", "tree", "support", "member", "fact", "mark", "inspection",
        "reading", "finding", "work", "segment", "event", "event_call", "photo",
    }  # fmt: skip


def test_one_byte_in_the_file_is_found_though_sqlite_sees_nothing(small):
    store, _ = small
    path = Path(store.engine.url.database)
    with store.engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    store.close()
    content = path.read_bytes()
    assert content.count(b"12.5 mm") >= 1
    with store.read_session() as session:
        (reading,) = records.READINGS.all(
            session, TABLES["reading"].c.given == "12.5 mm"
        )
    store.close()
    places = [at.start() for at in re.finditer(b"12.5 mm", content)]
    (place,) = (at for at in places if content[at - 9 : at] != b'"given":"')
    changed = content[:place] + b"4" + content[place + 1 :]
    path.write_bytes(changed)

    bare = sqlite3.connect(path)
    assert bare.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    bare.close()
    found = verdict(store)

    assert [b.where for b in found.broken] == [f"reading {reading.id}"]
    assert "support P-0" in found.broken[0].why


def test_a_perfect_cover_up_is_found_by_the_checkpoint_kept_outside(built):
    store, _ = built
    outside_copy = checkpoint_of(store)
    with unguarded(store) as connection:
        connection.execute(
            sa.text("UPDATE reading SET value = 1.0 WHERE given = '12.5 mm'")
        )
        reseal(connection)
    with store.read_session() as session:
        changed = next(
            e.change.seq
            for e in ledger.entries(session)
            if e.change.action == "reading corrected"
        )

    assert verdict(store).holds
    found = verdict(store, against=outside_copy)

    assert found.broken[0].where == str(changed)
    assert "checkpoint" in found.broken[0].why


def test_a_checkpoint_without_fingerprints_still_decides(small):
    store, _ = small
    made = checkpoint_of(store)
    bare = Checkpoint(made.head, made.made_at, made.origin, made.version)
    with unguarded(store) as connection:
        connection.execute(sa.text("UPDATE ledger SET actor = 'x' WHERE seq = 2"))
        reseal(connection)

    assert verdict(store).holds
    (broken,) = verdict(store, against=bare).broken

    assert broken.what == "checkpoint"


def test_a_ledger_cut_short_is_found_by_the_checkpoint(small):
    store, _ = small
    made = checkpoint_of(store)
    with unguarded(store) as connection:
        connection.execute(
            sa.text("DELETE FROM ledger WHERE seq > :n"), {"n": made.head.size - 2}
        )

    found = verdict(store, against=made)

    said = [str(broken) for broken in found.broken]
    assert any("are missing" in line for line in said)


def test_what_was_added_since_the_checkpoint_is_no_fault(small):
    store, _ = small
    made = checkpoint_of(store)
    with store.write_session() as session:
        ledger.append(session, [("noted", "note", {})], actor="Edda", now=NOW)

    assert verdict(store, against=made).holds


@pytest.mark.parametrize(
    ("statement", "named"),
    [
        ("UPDATE reading SET value = value + 1 WHERE given = '12.5 mm'", "row reading"),
        ("UPDATE support SET installed_on = '2011-05-14' WHERE code = 'P-1'",
         "row support"),
        ("DELETE FROM event_call", "row event_call"),
        ("UPDATE ledger SET payload = '{}' WHERE seq = 4", "entry 4"),
        ("UPDATE ledger SET recorded_at = '2019-01-01 00:00:00+00:00' WHERE seq = 4",
         "entry 4"),
        ("UPDATE ledger SET salt = '' WHERE seq = 4", "entry 4"),
        ("DELETE FROM ledger WHERE seq = 4", "entry 4"),
        ("UPDATE photo SET sha256 = lower(sha256) || '' , caption = 'x'", "row photo"),
        ("UPDATE outlook SET level = level + 0.001", "outlook P-"),
    ],
)  # fmt: skip
def test_a_change_by_sql_is_named(any_store, tmp_path, statement, named):
    build(any_store, tmp_path / "photos")
    if any_store.engine.dialect.name == "sqlite":
        statement = statement.replace(" 00:00:00+", "T00:00:00.000000+")

    with unguarded(any_store) as connection:
        connection.execute(sa.text(statement))
    found = verdict(any_store)

    assert str(found.broken[0]).startswith(named)


def test_a_row_slipped_in_behind_the_ledger_is_named(built):
    store, _ = built
    with store.write_session() as session:
        (mark, *_) = records.MARKS.all(session)
        session.execute(
            TABLES["mark"].insert().values(
                id=mark.member_id, member_id=mark.member_id, code="ghost", note="",
                recorded_at=NOW,
            )
        )  # fmt: skip

    (broken,) = verdict(store).broken

    assert broken.what == "row"
    assert broken.where == f"mark {mark.member_id}"


def test_a_row_without_its_parent_is_named(sqlite_store, tmp_path):
    build(sqlite_store, tmp_path / "photos")
    bare = sqlite3.connect(sqlite_store.engine.url.database)
    bare.execute("DROP TRIGGER finding_no_update")
    bare.execute("UPDATE finding SET member_id = id")
    bare.commit()
    bare.close()

    found = verdict(sqlite_store)

    assert found.broken[0].what == "guard"
    assert {b.what for b in found.broken} == {"guard", "row", "parent"}


def test_a_kept_node_of_the_tree_is_checked(sqlite_store):
    with sqlite_store.write_session() as session:
        lines = [("noted", f"note {n}", {}) for n in range(600)]
        ledger.append(session, lines, actor="Edda", now=NOW)
    assert verdict(sqlite_store).holds
    with unguarded(sqlite_store) as connection:
        connection.execute(sa.text("UPDATE ledger_node SET hash = 'aa' || hash"))

    assert verdict(sqlite_store).broken[0].what == "tree"


@pytest.mark.parametrize("batches", [(600,), (255, 1, 300), (1,) * 30 + (500, 44)])
def test_the_kept_nodes_do_not_depend_on_how_entries_come(any_store, batches):
    with any_store.write_session() as session:
        for count in batches:
            lines = [("noted", "note", {"n": n}) for n in range(count)]
            ledger.append(session, lines, actor="Edda", now=NOW)

    made, found = checkpoint_of(any_store), verdict(any_store)

    assert found.holds
    assert found.head == made.head


def test_the_clock_that_went_back_is_told_and_the_order_holds(small):
    store, _ = small
    with store.write_session() as session:
        early = NOW - timedelta(days=9000)
        ledger.append(session, [("noted", "note", {})], actor="Edda", now=early)

    found = verdict(store)

    assert found.holds
    assert found.clock_went_back_at == found.head.size


def test_a_proof_convinces_someone_who_only_has_the_checkpoint(built):
    store, _ = built
    made = checkpoint_of(store)
    told = json.loads(to_text(made))
    with store.read_session() as session:
        reading = records.READINGS.all(session)[0]
        proof = json.loads(json.dumps(prove(session, str(reading.id), now=NOW)))

    assert list(outside.check_proof(proof, told)) == []
    proof["entries"][0]["entry"]["actor"] = "someone else"
    assert list(outside.check_proof(proof, told))


@pytest.mark.parametrize("about", ["3", "P-1"])
def test_proofs_are_found_by_number_and_by_code(small, about):
    store, _ = small
    with store.read_session() as session:
        proof = prove(session, about, now=NOW)

    assert list(outside.check_proof(proof)) == []


def test_there_is_no_proof_of_what_is_not_there(small):
    store, _ = small
    with store.read_session() as session, pytest.raises(NotFound):
        prove(session, "P-999", now=NOW)


def test_growth_is_proved_to_someone_who_kept_an_older_checkpoint(small):
    store, _ = small
    older = checkpoint_of(store)
    with store.write_session() as session:
        lines = [("noted", f"note {n}", {}) for n in range(300)]
        ledger.append(session, lines, actor="Edda", now=NOW)
    with store.read_session() as session:
        growth = prove_growth(session, older)

    told = json.loads(to_text(older))
    assert list(outside.check_growth(growth, told)) == []
    told["root"] = "00" * 32
    assert list(outside.check_growth(growth, told))


def test_a_longer_checkpoint_than_the_ledger_is_no_growth(small):
    store, _ = small
    made = checkpoint_of(store)
    longer = Checkpoint(TreeHead(10**6, made.head.root), "", "", "")

    with store.read_session() as session, pytest.raises(InvalidInput, match="missing"):
        prove_growth(session, longer)


def test_checkpoints_are_kept_and_read_back(small, tmp_path):
    store, _ = small
    made = checkpoint_of(store)

    path = keep_checkpoint(tmp_path / "kept", made)

    assert read_checkpoint(path) == made
    assert keep_checkpoint(tmp_path / "kept", made) == path


@pytest.mark.parametrize(
    "text", ["", "[]", "{}", '{"format": 1}', "[" * 10_000, '{"size": "x"}']
)
def test_what_is_no_checkpoint_is_refused_in_words(text):
    with pytest.raises(InvalidInput, match="no checkpoint"):
        from_text(text)


def test_two_hundred_tamperings_are_all_found(small):
    """The whole ten thousand: `ops/bench tamper`."""
    store, _ = small
    chance, missed = random.Random(7), []
    state = tampering_of(store)
    for number in range(200):
        told = attempt(state, chance)
        if not told.is_found:
            missed.append((number, told))

    assert missed == []


def test_clean_records_raise_no_alarm(small):
    store, files = small
    made = checkpoint_of(store)

    assert all(verdict(store, files, made).holds for _ in range(5))


class TestSabotage:
    """Builds of the verifier that must not pass."""

    def test_a_tree_without_prefixes_is_noticed(self, small, monkeypatch):
        store, _ = small
        made = checkpoint_of(store)

        def bare(left, right):
            return hashlib.sha256(left + right).digest()

        monkeypatch.setattr(ledger_tree, "node_hash", bare)

        assert not verdict(store, against=made).holds

    def test_a_leaf_without_prefix_is_noticed(self, small, monkeypatch):
        store, _ = small
        assert verdict(store).holds

        def bare(data):
            return hashlib.sha256(data.removeprefix(b"\x00"))

        monkeypatch.setattr(rules, "hashlib", SimpleNamespace(sha256=bare))

        assert not verdict(store).holds

    def test_trusting_the_local_root_alone_misses_what_the_checkpoint_finds(
        self, small
    ):
        store, _ = small
        made = checkpoint_of(store)
        with unguarded(store) as connection:
            connection.execute(sa.text("UPDATE ledger SET actor = 'x' WHERE seq = 2"))
            reseal(connection)

        trusting, asking = verdict(store), verdict(store, against=made)

        assert (trusting.holds, asking.holds) == (True, False)


class TestPhotographs:
    def test_a_bit_in_each_of_many_is_found_each_and_no_other(
        self, sqlite_store, tmp_path
    ):
        files = build(sqlite_store, tmp_path / "photos", photos=60)
        with sqlite_store.read_session() as session:
            hashes = photo_hashes(session)
        turned = hashes[::2]
        for sha256 in turned:
            _turn_a_bit(files.path(sha256))

        broken = verdict(sqlite_store, files).broken

        assert [b.where for b in broken] == turned

    def test_a_round_of_thirty_days_finds_and_mends_five_hundred(
        self, sqlite_store, tmp_path
    ):
        files = build(sqlite_store, tmp_path / "photos", supports=1, photos=500)
        copy = build_copy(files, tmp_path / "copy", sqlite_store)
        with sqlite_store.read_session() as session:
            hashes = photo_hashes(session)
        assert len(hashes) == 500
        for sha256 in hashes:
            _turn_a_bit(files.path(sha256))

        mended = set()
        for day in range(30):
            today = (NOW + timedelta(days=day)).date()
            found = look_at(due_today(hashes, today), files, [copy])
            assert found.lost == ()
            mended |= set(found.mended)

        assert mended == set(hashes)
        assert all(files.is_whole(sha256) for sha256 in hashes)

    def test_one_that_no_copy_holds_is_lost_and_never_shown(
        self, sqlite_store, tmp_path
    ):
        files = build(sqlite_store, tmp_path / "photos", supports=1, photos=2)
        copy = build_copy(files, tmp_path / "copy", sqlite_store)
        with sqlite_store.read_session() as session:
            first, second = photo_hashes(session)
        _turn_a_bit(files.path(first))
        _turn_a_bit(copy.path(first))

        found = look_at([first, second], files, [copy])

        assert (found.mended, found.lost) == ((), (first,))
        with pytest.raises(NotFound):
            files.read(first)
        assert files.is_whole(second)


def _turn_a_bit(path):
    content = bytearray(path.read_bytes())
    content[-1] ^= 1
    path.write_bytes(content)


def build_copy(files, folder, store):
    copy = type(files)(folder)
    with store.read_session() as session:
        for sha256 in photo_hashes(session):
            copy.take_copy(sha256, files.path(sha256))
    return copy
