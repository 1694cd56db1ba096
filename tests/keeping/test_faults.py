"""Faults with real processes: the short versions of `ops/bench kills`."""

import os
import random
import resource
import shutil
import sqlite3
import tempfile
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from monitor.store import Store, engine, records
from tests.conftest import NOON
from tests.keeping.adapter import Installation, Server, a_form
from tests.keeping.faults import killing
from tests.keeping.faults.drill import drill
from tests.keeping.faults.process import fork
from tests.keeping.faults.writing import record_visits
from tests.keeping.world import build

NOBODY = 65534


@pytest.fixture(scope="session")
def filled(migrated_file, tmp_path_factory):
    """An installation with a small record and an inspector who is signed in."""
    at = Installation(tmp_path_factory.mktemp("filled") / "whole")
    at.folder.mkdir()
    shutil.copy(migrated_file, at.file)
    store = at.store()
    build(store, at.settings.photo_folder)
    store.close()
    with pytest.MonkeyPatch.context() as patch:
        token = at.sign_in(patch)
    return at.folder, token


@pytest.fixture
def at(filled, tmp_path):
    made = Installation(tmp_path / "at")
    made.copy_from(filled[0])
    return made


@pytest.fixture
def server(at, filled):
    made = Server(at, filled[1])
    yield made
    if made.process:
        made.process.kill()


@pytest.mark.parametrize("kind", killing.KINDS[:3], ids=lambda kind: kind.kind)
def test_killed_at_any_moment_it_is_done_whole_or_not_at_all(kind, filled, tmp_path):
    told = killing.trials(
        kind, tmp_path, 3, random.Random(1), record=lambda at: at.copy_from(filled[0])
    )

    assert told.trials == 3
    assert told.wrong == []


def test_a_disk_that_is_full_in_the_middle_of_a_commit_keeps_nothing_of_it(at):
    """The room left grows step by step until the import goes through."""
    trial = killing.Importing(at.folder.parent)
    trial.prepare(at, lambda _at: None)
    stood = []
    for limit in (4_000, 40_000, 80_000, 160_000, 8_000_000):

        def no_room(most=limit):
            resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))

        code, said = at.run("import", trial.file, before=no_room)
        stood.append((code, trial.stands(at, code)))
        assert code in (0, 4), said
        assert at.look().holds

    assert stood[0] == (4, "nothing")
    assert stood[-1] == (0, "everything")


def test_a_folder_that_may_not_be_written_is_said_in_words(filled):
    folder = Path(tempfile.mkdtemp(dir="/var/tmp"))
    try:
        at = Installation(folder / "at")
        at.copy_from(filled[0])
        trial = killing.Importing(folder)
        trial.prepare(at, lambda _at: None)
        for path in (folder, *folder.rglob("*")):
            path.chmod(0o555 if path.is_dir() else 0o444)

        code, said = at.run("import", trial.file, before=_as_nobody)

        assert code == 4, said
        assert "Nothing was written" in said
    finally:
        for path in (folder, *folder.rglob("*")):
            path.chmod(0o755)
        shutil.rmtree(folder)


def _as_nobody():
    if os.geteuid() == 0:
        os.setuid(NOBODY)


def test_a_database_that_another_program_holds_is_said_in_words(at):
    trial = killing.Importing(at.folder.parent)
    trial.prepare(at, lambda _at: None)

    def hasty():
        engine.BUSY_TIMEOUT_MS = 200

    with closing(sqlite3.connect(at.file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        code, said = at.run("import", trial.file, before=hasty)
        other.execute("ROLLBACK")

    assert code == 4
    assert "held by another program" in said
    assert trial.stands(at, code) == "nothing"
    assert trial.again(at) == []


def test_two_writers_on_one_support_lose_nothing(any_store, tmp_path):
    build(any_store, tmp_path / "photos", supports=1)
    any_store.close()
    url = any_store.engine.url.render_as_string(hide_password=False)

    def writer(first):
        return fork(
            lambda say: record_visits(Store(url), first, 10, say), tmp_path / str(first)
        )

    writers = [writer(first) for first in (0, 1000)]
    codes = [one.wait() for one in writers]

    done = [key for one in writers for key in one.acknowledged()]
    with any_store.read_session() as session:
        there = [str(one.id) for one in records.INSPECTIONS.all(session)]
    assert codes == [0, 0]
    assert len(done) == len(set(done)) == 20
    assert set(done) <= set(there)


def test_a_clock_set_back_three_hours_stops_nothing_and_is_told(at):
    trial = killing.Importing(at.folder.parent)
    trial.prepare(at, lambda _at: None)
    later = at.look().head.size
    at.now = NOON - timedelta(hours=3)

    code, said = at.run("import", trial.file)
    found = at.look()

    assert code == 0, said
    assert found.holds
    assert found.clock_went_back_at == later + 1


def test_without_its_photographs_the_record_goes_on_and_names_each(at, server):
    at.settings.photo_folder.rename(at.folder / "elsewhere")
    photo = b"\xff\xd8\xff\xe0" + bytes(500)

    broken = at.look().broken
    server.start()
    status, receipt = server.send_visit(
        a_form("P-0", NOON.date() - timedelta(days=3), photo), photo
    )

    assert [one.what for one in broken] == ["photograph"] * 3
    assert (status, "receipt" in receipt) == (200, True)
    assert len(at.look().broken) == 3


def test_an_empty_machine_becomes_the_old_one_from_a_backup_alone(at):
    told = drill(at, at.folder.parent)

    assert told.different == []
    assert told.photographs == 3
    assert told.dues > 0
