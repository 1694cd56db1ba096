"""kill -9 at a random moment of a command, and what must hold of the record then."""

import sqlite3
from collections import Counter
from contextlib import closing
from dataclasses import dataclass, field
from datetime import timedelta

import sqlalchemy as sa

from monitor.services.keeping.backups import backups_in
from monitor.services.keeping.restoring import try_restore
from monitor.store import records, schema
from tests.conftest import NOON
from tests.keeping.adapter import Installation, pause
from tests.keeping.faults.process import KILLED, timed
from tests.keeping.world import build
from tests.migrations.test_upgrades import old_file

ROWS = 40
LIST = "support,member,mark,inspected_on,inspector,quantity,value,unit"


@dataclass
class Outcome:
    """What became of the trials of one kind.

    Attributes
    ----------
    killed : trials in which the process still ran when it was killed
    after : how things stood afterwards, in words, and how often
    wrong : what did not hold
    """

    kind: str
    trials: int = 0
    killed: int = 0
    after: Counter = field(default_factory=Counter)
    wrong: list = field(default_factory=list)

    def __str__(self):
        stood = ", ".join(f"{what}: {n}" for what, n in sorted(self.after.items()))
        return (
            f"{self.kind}: trials {self.trials}, killed {self.killed} ({stood}); "
            f"did not hold: {len(self.wrong)}"
        )


class Importing:
    """A list of visits is taken in: all of it or nothing."""

    kind = "import"

    def __init__(self, folder):
        self.file = folder / "visits.csv"

    def prepare(self, at, record):
        record(at)
        days = [NOON.date() - timedelta(days=n + 1) for n in range(ROWS)]
        rows = [
            f"P-0,P1,plate,{day},Noor,gap,{n / 10},mm" for n, day in enumerate(days)
        ]
        self.file.write_text("\n".join([LIST, *rows, ""]))

    def start(self, at):
        return at.command("import", self.file)

    def stands(self, at, code):
        taken = self._taken(at)
        if taken not in (0, ROWS) or (code == 0 and taken != ROWS):
            return "half taken in"
        return "nothing" if taken == 0 else "everything"

    def again(self, at):
        code, said = at.run("import", self.file)
        return [] if code == 0 and self._taken(at) == ROWS else [said[-300:]]

    def _taken(self, at):
        store = at.store()
        with store.read_session() as session:
            who = records.INSPECTIONS.table.c.inspector
            found = records.INSPECTIONS.count(session, who == "Noor")
        store.close()
        return found


class Assessing:
    """Everything is assessed anew: conclusions come out as if nothing had been."""

    kind = "assess"

    def __init__(self, _folder):
        self.wanted = None

    def prepare(self, at, record):
        record(at)
        at.run("assess", "--all")
        self.wanted = _conclusions(at)
        _forget_conclusions(at)

    def start(self, at):
        return at.command("assess", "--all")

    def stands(self, at, code):
        found = _conclusions(at)
        if code == 0 and found != self.wanted:
            return "other conclusions"
        return "some of it" if found != self.wanted else "everything"

    def again(self, at):
        code, said = at.run("assess", "--all")
        same = code == 0 and _conclusions(at) == self.wanted
        return [] if same else [said[-300:]]


class BackingUp:
    """A backup is there whole or it is not there, and older ones stay."""

    kind = "backup"

    def __init__(self, folder):
        self.folder = folder

    def prepare(self, at, record):
        record(at)
        at.run("backup")
        at.now = NOON + timedelta(days=1)

    def start(self, at):
        return at.command("backup")

    def stands(self, at, code):
        found = backups_in(at.settings.backups)
        for one in found:
            try_restore(one, self.folder / "trying", now=NOON)
        if len(found) not in (1, 2) or (code == 0 and len(found) != 2):
            return "backups missing"
        return "not there" if len(found) == 1 else "there"

    def again(self, at):
        at.now = NOON + timedelta(days=2)
        code, said = at.run("backup")
        at.now = NOON + timedelta(days=1)
        return [] if code == 0 else [said[-300:]]


class Upgrading:
    """A database of an earlier revision comes up whole, or stays as it was."""

    kind = "upgrade"

    def __init__(self, folder, revision="0004"):
        self.folder, self.revision = folder, revision
        self.before = None

    def prepare(self, at, _record):
        at.folder.mkdir(parents=True)
        old_file(self.revision, at.file)
        self.before = self._everything(at)

    def start(self, at):
        return at.command("setup")

    def stands(self, at, code):
        store = at.store()
        found = schema.current_revision(store)
        store.close()
        if found == self.revision and code != 0:
            same = self._everything(at) == self.before
            return "the old" if same else "between"
        return "the new" if found == schema.head_revision() else "between"

    def again(self, at):
        code, said = at.run("setup")
        return [] if code == 0 else [said[-300:]]

    def _everything(self, at):
        with closing(sqlite3.connect(at.file)) as bare:
            return list(bare.iterdump())


KINDS = (Importing, Assessing, BackingUp, Upgrading)


def trials(kind, folder, number, chance, *, record=None, tell=lambda _told: None):
    """Run a command so many times, kill it at random, look, and run it again.

    Parameters
    ----------
    record : fills an installation; a small record through the services if None
    tell : told how it stands every now and then
    """
    trial, told = kind(folder), Outcome(kind.kind)
    whole = Installation(folder / "whole")
    trial.prepare(whole, record or fill)
    at = Installation(folder / "at", now=whole.now)
    at.copy_from(whole.folder)
    longest_s = timed(lambda: trial.start(at))
    for _ in range(number):
        at.copy_from(whole.folder)
        _one(trial, at, chance.uniform(0, longest_s * 1.05), told)
        if told.trials % 20 == 0:
            tell(told)
    return told


def _one(trial, at, wait_s, told):
    process = trial.start(at)
    pause(wait_s)
    code = process.kill()
    told.trials += 1
    told.killed += code == KILLED
    stood = trial.stands(at, code)
    told.after[stood] += 1
    wrong = [] if stood not in BAD else [stood]
    if stood != "the old":
        wrong += [str(broken) for broken in at.look().broken[:1]]
    wrong += trial.again(at)
    wrong += [str(broken) for broken in at.look().broken[:1]]
    if wrong:
        told.wrong.append((round(wait_s, 3), *wrong))


BAD = {"half taken in", "other conclusions", "backups missing", "between"}


def fill(at):
    code, said = at.run("setup")
    assert code == 0, said
    store = at.store()
    build(store, at.settings.photo_folder)
    store.close()


def _conclusions(at):
    """Every outlook, standing and due, but for when it was worked out."""
    store = at.store()
    with store.read_session() as session:
        found = [
            sorted(str({k: v for k, v in row.items() if k != "computed_at"}) for row in
                   session.execute(sa.select(repository.table)).mappings())
            for repository in (records.OUTLOOKS, records.STANDINGS, records.DUES)
        ]  # fmt: skip
    store.close()
    return found


def _forget_conclusions(at):
    with closing(sqlite3.connect(at.file)) as bare:
        for table in ("outlook", "standing", "due"):
            bare.execute(f"DELETE FROM {table}")
        bare.commit()
