"""Power cuts at random moments of recording, and whether the record outlives them."""

import hashlib
import sqlite3
from collections import Counter
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from tests.keeping.adapter import Installation
from tests.keeping.faults.killing import fill
from tests.keeping.faults.traced import Disk, steps_of, trace

ROOT = Path(__file__).parents[3]
VERIFIED_EVERY = 25


@dataclass
class Outcome:
    """What became of the cuts of one mode.

    Attributes
    ----------
    lost_in, damaged_in : cuts after which something acknowledged was gone, or the
        database or a photograph was broken
    lost : visits gone
    """

    mode: str
    cuts: int = 0
    lost_in: int = 0
    lost: int = 0
    damaged_in: int = 0
    verified: int = 0
    why: Counter = field(default_factory=Counter)

    def __str__(self):
        why = "; ".join(f"{what}: {n}" for what, n in self.why.most_common(4))
        return (
            f"{self.mode}: cuts {self.cuts}, with acknowledged visits lost "
            f"{self.lost_in} ({self.lost} visits), with damage {self.damaged_in}, "
            f"verified whole {self.verified}. {why}"
        )


def cuts(mode, folder, number, chance, *, visits=40, record=fill):
    """Record visits under trace, then cut the power so often."""
    before, at = Installation(folder / "before"), Installation(folder / "at")
    record(before)
    at.copy_from(before.folder)
    log = folder / "calls"
    ended = trace(
        "tests.keeping.faults.visits", at.folder, visits, mode, log=log, cwd=ROOT
    )
    assert ended.returncode == 0, ended.stderr.decode()[-500:]
    steps = list(steps_of(log, at.folder))
    at.copy_from(before.folder)  # the disk as it was
    first = next(n for n, step in enumerate(steps) if step[0] == "said")
    wanted = sorted(chance.randrange(first // 2, len(steps)) for _ in range(number))
    return _swept(Disk(at.folder), steps, wanted, Outcome(mode), chance)


def _swept(disk, steps, wanted, told, chance):
    left = Installation(disk.folder.with_name("left"))
    taken = 0
    for moment in wanted:
        for step in steps[taken:moment]:
            disk.take(step)
        taken = max(taken, moment)
        disk.after_a_cut(chance, left.folder)
        told.cuts += 1
        _look(left, disk.said, told)
    return told


def _look(left, said, told):
    try:
        there, photos = _read(left.file)
    except (sqlite3.DatabaseError, ValueError) as error:
        told.damaged_in += 1
        told.why[str(error)[:60]] += 1
        return
    gone = [key for _, key, sha256 in said if there.get(key) != (2, sha256)]
    told.lost += len(gone)
    told.lost_in += bool(gone)
    bad = [one for one in photos if not _is_whole(left, one)]
    told.damaged_in += bool(bad)
    told.why["row without its photograph"] += bool(bad)
    if told.cuts % VERIFIED_EVERY == 0 and not gone and not bad:
        broken = left.look().broken
        told.verified += not broken
        told.damaged_in += bool(broken)
        told.why.update(str(one)[:60] for one in broken[:1])


def _read(path):
    with closing(sqlite3.connect(path)) as bare:
        (found,) = bare.execute("PRAGMA integrity_check").fetchone()
        if found != "ok" or bare.execute("PRAGMA foreign_key_check").fetchall():
            raise ValueError(f"integrity: {found}")
        rows = bare.execute(
            "SELECT i.id, p.sha256, count(r.id) FROM inspection i "
            "LEFT JOIN photo p ON p.inspection_id = i.id "
            "LEFT JOIN reading r ON r.inspection_id = i.id GROUP BY i.id"
        ).fetchall()
        photos = [sha256 for (sha256,) in bare.execute("SELECT sha256 FROM photo")]
    return {key: (count, sha256) for key, sha256, count in rows}, photos


def _is_whole(left, sha256):
    path = left.photos.path(sha256)
    return path.exists() and hashlib.sha256(path.read_bytes()).hexdigest() == sha256
