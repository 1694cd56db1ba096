"""The restore drill: an empty machine, the backup, and what must be as it was."""

import json
import time
from contextlib import closing, contextmanager
from dataclasses import dataclass, field

import sqlalchemy as sa

from monitor.services import access
from monitor.store import ledger, ledger_nodes, records
from monitor.store.models import Base
from tests.keeping.adapter import INSPECTOR, PASSWORD, Installation

TEN_YEARS_DAYS = "3652"
NOT_COMPARED = {"ledger", "ledger_node", "sign_in"}


@dataclass
class Drill:
    """What was compared, and how long each step took.

    Attributes
    ----------
    seconds : by step [s]
    different : what was not as it was
    """

    rows: int = 0
    photographs: int = 0
    dues: int = 0
    seconds: dict = field(default_factory=dict)
    different: list = field(default_factory=list)

    @contextmanager
    def step(self, name):
        began = time.perf_counter()
        yield
        self.seconds[name] = time.perf_counter() - began

    def same(self, what, old, new):
        if old != new:
            self.different.append(what)

    def __str__(self):
        took = ", ".join(f"{name} {s:.1f} s" for name, s in self.seconds.items())
        return (
            f"rows {self.rows}, photographs {self.photographs}, dues of ten years "
            f"{self.dues}; {took}; different: {self.different or 'nothing'}"
        )


def drill(lost, folder):
    """Back a record up, restore it where nothing is, compare, sign in.

    Parameters
    ----------
    lost : the installation that burns down
    folder : where the empty machine has its data; the backup is all it gets
    """
    told, new = Drill(), Installation(folder / "new", now=lost.now)
    kept = folder / "kept"
    with told.step("back up and try"):
        _run(lost, "backup", kept)
    (backup,) = kept.glob("backup-*")
    with told.step("restore"):
        _run(new, "restore", backup)
    with told.step("verify"):
        _run(new, "verify")
    with told.step("sign in"):
        _sign_in(new)
    _compare(lost, new, told)
    return told


def _run(at, *words):
    code, said = at.run(*words)
    assert code == 0, said
    return said


def _sign_in(at):
    with closing(at.store()) as store, store.read_session() as session:
        access.check_password(session, INSPECTOR, PASSWORD)


def _compare(lost, new, told):
    (old_counts, old_head, photos), (counts, _, _) = _state(lost), _state(new)
    told.same("rows", old_counts, counts)
    told.rows, told.photographs = sum(counts.values()), len(photos)
    with closing(new.store()) as store, store.read_session() as session:
        told.same("root", old_head, ledger_nodes.head(session, old_head.size))
        *_, newest = ledger.entries(session)
        told.same("entry", "record restored from a backup", newest.change.action)
    for sha256 in photos[:100]:
        told.same(f"photograph {sha256}", True, new.photos.is_whole(sha256))
    owed = [_run(at, "due", "--within", TEN_YEARS_DAYS, "--json") for at in (lost, new)]
    told.same("schedule", *owed)
    told.dues = len(json.loads(owed[0]))


def _state(at):
    with closing(at.store()) as store, store.read_session() as session:
        counts = {
            table.name: session.execute(
                sa.select(sa.func.count()).select_from(table)
            ).scalar_one()
            for table in Base.metadata.sorted_tables
            if table.name not in NOT_COMPARED
        }
        photos = sorted({one.sha256 for one in records.PHOTOS.all(session)})
        return counts, ledger_nodes.head(session), photos
