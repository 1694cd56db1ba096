"""PostgreSQL restarted in the middle of work, and taken back to a moment."""

import shutil
import tempfile
import time
from pathlib import Path

import pytest
import sqlalchemy as sa

from monitor.clock import SystemClock
from monitor.errors import MonitorError
from monitor.services.keeping.checkpoints import make_checkpoint
from monitor.services.keeping.verify import Asked, verify
from monitor.store import Store, ledger, records
from monitor.store.schema import upgrade
from tests.conftest import NOON
from tests.keeping.faults.postgres import Cluster, until
from tests.keeping.faults.process import fork
from tests.keeping.faults.writing import record_visits
from tests.keeping.world import build

pytestmark = pytest.mark.postgres


@pytest.fixture
def cluster(postgres_server):
    """A server of its own: what is killed here must not be another test's."""
    folder = Path(tempfile.mkdtemp(dir="/tmp", prefix="pg"))
    folder.chmod(0o755)
    made = Cluster(folder)
    made.create()
    made.start()
    upgrade(made.url)
    yield made
    made.stop("immediate")
    shutil.rmtree(folder)


def test_what_was_acknowledged_outlives_a_server_that_crashes_again_and_again(
    cluster, tmp_path
):
    store = Store(cluster.url)
    build(store, tmp_path / "photos")
    store.close()

    def write(say):
        record_visits(Store(cluster.url), 0, 60, say, patience=(MonitorError, 600))

    writer = fork(write, tmp_path / "said")
    for _ in range(3):
        time.sleep(1)
        cluster.stop("immediate")
        cluster.start()
    code = writer.wait()

    done = writer.acknowledged()
    with store.read_session() as session:
        there = [str(one.id) for one in records.INSPECTIONS.all(session)]
        found = verify(Asked(session, outlooks=0))
    store.close()
    assert code == 0, writer.said.read_text()
    assert len(done) == 60
    assert all(there.count(key) == 1 for key in done)
    assert found.holds


def test_the_record_is_taken_back_to_a_moment_before_a_mistake(cluster, tmp_path):
    """As the runbook says it; the checkpoint of that moment must hold."""
    store = Store(cluster.url)
    build(store, tmp_path / "photos", supports=1)
    cluster.base_backup(cluster.folder / "base")
    _note(store, "after the backup")
    with store.read_session() as session:
        wanted = make_checkpoint(session, now=NOON)
        session.execute(sa.text("SELECT pg_switch_wal()"))
    time.sleep(1)
    moment = SystemClock().now()
    time.sleep(1)
    _note(store, "the mistake")
    with store.engine.connect() as connection:
        connection.execute(sa.text("SELECT pg_switch_wal()"))
        name = connection.execute(sa.text(
            "SELECT pg_walfile_name(pg_current_wal_lsn() - 1)")).scalar()  # fmt: skip
    until(lambda: (cluster.archive / name).exists())
    store.close()
    cluster.stop("immediate")

    cluster.back_to(cluster.folder / "base", moment)
    cluster.start()

    until(lambda: not (cluster.data / "recovery.signal").exists())
    with store.read_session() as session:
        found = verify(Asked(session, None, wanted, outlooks=0))
        subjects = {entry.change.subject for entry in ledger.entries(session)}
    store.close()
    assert found.holds
    assert found.head == wanted.head
    assert "after the backup" in subjects
    assert "the mistake" not in subjects


def _note(store, subject):
    with store.write_session() as session:
        ledger.append(session, [("noted", subject, {})], actor="Edda", now=NOON)
