"""Backups made under load, restored for trial, rotated; restoring in earnest."""

import json
import shutil
import sqlite3
import threading
import time
from datetime import UTC, datetime, timedelta

import pytest

from monitor.clock import new_id
from monitor.errors import Conflict, InvalidInput, StoreError
from monitor.services.keeping.backups import (
    NOTE,
    alarm,
    back_up,
    backups_in,
    read_backup,
    rotate,
)
from monitor.services.keeping.erase import Erased, Request, erase, place_hold
from monitor.services.keeping.erasures import LIST, erase_again, note_erasure
from monitor.services.keeping.restoring import restore, try_restore
from monitor.services.keeping.verify import Asked, verify
from monitor.store import Store, ledger, records
from monitor.store.photos import PhotoFiles
from tests.build import a_reading, an_inspection
from tests.keeping.world import build

NOW = datetime(2026, 6, 1, 2, 10, tzinfo=UTC)


@pytest.fixture
def built(sqlite_store, tmp_path):
    files = build(sqlite_store, tmp_path / "photos", supports=2)
    return sqlite_store, files, tmp_path / "backups"


def test_a_backup_is_restored_for_trial_and_holds(built, tmp_path):
    store, files, folder = built

    made = back_up(store, files, folder, now=NOW)
    tried = try_restore(made, tmp_path / "trying", now=NOW)

    assert read_backup(made.folder) == tried
    assert tried.verified_at == NOW
    assert made.photos == 3
    assert not (tmp_path / "trying").exists()


def test_a_backup_under_load_holds_every_acknowledged_visit_whole(built, tmp_path):
    store, files, folder = built
    with store.read_session() as session:
        mark = records.MARKS.all(session)[0]
        support = records.SUPPORTS.all(session)[0]
    acknowledged, stop = [], threading.Event()

    def write():
        while not stop.is_set():
            visit = an_inspection(support.id, NOW.date())
            readings = [a_reading(visit, mark.id, "gap", 1.0) for _ in range(3)]
            with store.write_session() as session:
                records.INSPECTIONS.add(session, [visit])
                records.READINGS.add(session, readings)
                change = ("noted", f"inspection {visit.id}", {})
                ledger.append(session, [change], actor="Edda", now=NOW)
            acknowledged.append(visit.id)
            time.sleep(0.02)

    writer = threading.Thread(target=write)
    writer.start()
    while len(acknowledged) < 5:
        time.sleep(0.01)
    before = list(acknowledged)
    made = back_up(store, files, folder, now=NOW)
    stop.set()
    writer.join()

    try_restore(made, tmp_path / "trying", now=NOW)
    copy = sqlite3.connect(made.folder / "underprop.db")
    visits = {key for (key,) in copy.execute("SELECT id FROM inspection")}
    partial = copy.execute(
        "SELECT count(*) FROM inspection i WHERE source = 'test' AND 3 <> "
        "(SELECT count(*) FROM reading r WHERE r.inspection_id = i.id)"
    ).fetchone()
    copy.close()
    assert {str(key) for key in before} <= visits
    assert partial == (0,)


def test_a_broken_backup_is_not_called_good(built, tmp_path):
    store, files, folder = built
    made = back_up(store, files, folder, now=NOW)
    database = made.folder / "underprop.db"
    content = database.read_bytes()
    database.write_bytes(content.replace(b"12.5 mm", b"42.5 mm", 1))

    with pytest.raises(StoreError, match="no longer what was backed up"):
        try_restore(made, tmp_path / "trying", now=NOW)

    assert read_backup(made.folder).verified_at is None


def test_a_backup_without_one_of_its_photographs_is_not_called_good(built, tmp_path):
    store, files, folder = built
    made = back_up(store, files, folder, now=NOW)
    photo = next(path for path in (folder / "photos").rglob("*") if path.is_file())
    photo.unlink()

    with pytest.raises(StoreError, match="its file is gone"):
        try_restore(made, tmp_path / "trying", now=NOW)


def test_nothing_is_left_of_a_backup_that_could_not_be_finished(built, monkeypatch):
    store, files, folder = built

    def full(*_args):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("monitor.store.disk.os.fsync", full)
    with pytest.raises(Exception, match="disk is full"):
        back_up(store, files, folder, now=NOW)

    assert backups_in(folder) == []
    assert not list(folder.glob("*.part"))


def test_restoring_puts_everything_back_and_says_so_in_the_ledger(built, tmp_path):
    store, files, folder = built
    made = back_up(store, files, folder, now=NOW)
    with store.write_session() as session:
        ledger.append(session, [("noted", "later", {})], actor="Edda", now=NOW)
    store.close()
    elsewhere = PhotoFiles(tmp_path / "other photos")
    url = f"sqlite:///{tmp_path / 'other' / 'underprop.db'}"

    aside = restore(made, url, elsewhere, by=("Edda", NOW + timedelta(days=1)))

    fresh = Store(url)
    with fresh.read_session() as session:
        *_, last = ledger.entries(session)
        found = verify(Asked(session, elsewhere))
    fresh.close()
    assert aside is None
    assert found.holds
    assert found.head.size == made.size + 1
    assert last.change.action == "record restored from a backup"
    assert json.loads(last.change.payload)["root"] == made.root


def test_the_record_that_was_there_is_kept_aside(built):
    store, files, folder = built
    made = back_up(store, files, folder, now=NOW)
    with store.write_session() as session:
        ledger.append(session, [("noted", "later", {})], actor="Edda", now=NOW)
    store.close()

    aside = restore(made, store.url, files, by=("Edda", NOW))

    old = sqlite3.connect(aside)
    (last,) = old.execute("SELECT subject FROM ledger ORDER BY seq DESC").fetchone()
    old.close()
    assert last == "later"


def test_a_changed_backup_replaces_nothing(built):
    store, files, folder = built
    made = back_up(store, files, folder, now=NOW)
    (made.folder / "underprop.db").write_bytes(b"SQLite format 3\0")
    with store.read_session() as session:
        before = list(ledger.entries(session))
    store.close()

    with pytest.raises(StoreError):
        restore(made, store.url, files, by=("Edda", NOW))

    with store.read_session() as session:
        assert list(ledger.entries(session)) == before


def test_days_weeks_and_months_are_kept(built):
    """Seven days, five weeks and twelve months of a year of nights, by hand."""
    store, files, folder = built
    first = back_up(store, files, folder, now=NOW)
    for day in range(1, 400):
        at = NOW + timedelta(days=day)
        path = folder / at.strftime("backup-%Y%m%dT%H%M%SZ")
        path.mkdir()
        said = json.loads((first.folder / NOTE).read_text())
        said["made_at"] = at.isoformat()
        (path / NOTE).write_text(json.dumps(said))

    rotate(folder, daily=7, weekly=5, monthly=12)

    kept = [backup.made_at.date() for backup in backups_in(folder)]
    last = (NOW + timedelta(days=399)).date()
    assert set(kept) >= {last - timedelta(days=n) for n in range(7)}
    assert len([on for on in kept if on.isocalendar()[:2] == last.isocalendar()[:2]])
    assert len({(on.year, on.month) for on in kept}) == 12
    assert len(kept) <= 7 + 5 + 12


def test_the_newest_backup_that_held_is_never_removed(built, tmp_path):
    store, files, folder = built
    good = try_restore(
        back_up(store, files, folder, now=NOW), tmp_path / "trying", now=NOW
    )
    for day in range(1, 40):
        back = folder / (NOW + timedelta(days=day)).strftime("backup-%Y%m%dT%H%M%SZ")
        shutil.copytree(good.folder, back)
        said = json.loads((back / NOTE).read_text()) | {"verified_at": None}
        said["made_at"] = (NOW + timedelta(days=day)).isoformat()
        (back / NOTE).write_text(json.dumps(said))

    rotate(folder, daily=2, weekly=0, monthly=0)

    assert good.folder in {backup.folder for backup in backups_in(folder)}


@pytest.mark.parametrize(("days", "is_late"), [(35, False), (36, True)])
def test_thirty_five_days_without_a_good_restore_raise_an_alarm(
    built, tmp_path, days, is_late
):
    store, files, folder = built
    try_restore(back_up(store, files, folder, now=NOW), tmp_path / "trying", now=NOW)

    said = alarm(folder, since=NOW, now=NOW + timedelta(days=days))

    assert bool(said) is is_late
    assert not is_late or "1 June 2026" in said


def test_what_is_no_backup_is_refused_in_words(tmp_path):
    with pytest.raises(InvalidInput, match="no backup of ours"):
        read_backup(tmp_path)


def test_two_backups_of_one_second_do_not_mix(built):
    store, files, folder = built
    back_up(store, files, folder, now=NOW)

    with pytest.raises(Conflict):
        back_up(store, files, folder, now=NOW)


def test_a_copy_of_the_file_alone_would_lose_what_lies_in_the_log(built, tmp_path):
    """Why no such way is offered: the copy opens cleanly and lacks entries."""
    store, _, _ = built
    keeper = store.engine.connect()
    keeper.exec_driver_sql("PRAGMA wal_autocheckpoint=0")
    with store.write_session() as session:
        session.connection().exec_driver_sql("SELECT 1")
        lines = [("noted", f"{new_id()}", {}) for _ in range(5)]
        ledger.append(session, lines, actor="Edda", now=NOW)
    shutil.copy(store.engine.url.database, tmp_path / "bare.db")
    with store.read_session() as session:
        size = sum(1 for _ in ledger.entries(session))
    bare = sqlite3.connect(tmp_path / "bare.db")
    (found,) = bare.execute("SELECT count(*) FROM ledger").fetchone()
    bare.close()
    keeper.close()

    assert found < size


def test_a_name_erased_since_is_erased_again_when_an_older_backup_comes_back(built):
    store, files, folder = built
    request = Request("Ines Falk", "request of 3 May 2027", "GDPR article 17")
    made = back_up(store, files, folder, now=NOW)
    with store.write_session() as session:
        done = erase(session, request, actor="Edda", now=NOW)
        note_erasure(folder, request, done, NOW)
    store.close()

    restore(made, store.url, files, by=("Edda", NOW + timedelta(days=1)))

    with store.read_session() as session:
        names = {one.inspector for one in records.INSPECTIONS.all(session)}
        verdict = verify(Asked(session, files))
    assert names == {done.instead}
    assert verdict.holds
    assert "Ines Falk" not in (folder / LIST).read_text()


def test_a_name_held_at_the_time_of_the_backup_stays_and_is_told(built):
    store, _, folder = built
    request = Request("Ines Falk", "request of 3 May 2027", "GDPR article 17")
    with store.write_session() as session:
        place_hold(session, "Ines Falk", reason="claim 12", by=("Edda", NOW))
    note_erasure(folder, request, Erased("erased person 1", 0, 0, ()), NOW)

    with store.write_session() as session:
        again = erase_again(session, folder, actor="Edda", now=NOW)

    assert (again.erased, again.held) == (0, ("erased person 1",))
