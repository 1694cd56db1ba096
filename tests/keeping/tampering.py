"""Random changes to a record, each undone again: is every one found and named?

The triggers were dropped beforehand; half of the attempts are covered up by working out
every hash of the ledger anew. An outside checkpoint was made before. Missing triggers
alone do not count as found.
"""

import shutil
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import sqlalchemy as sa

from monitor.services.keeping.checkpoints import make_checkpoint
from monitor.services.keeping.verify import Asked, verify
from monitor.store import Store
from monitor.store.engine import prepare_sqlite
from monitor.store.models import guards
from tests.keeping.tamper import TABLES, reseal

NOW = datetime(2026, 6, 1, tzinfo=UTC)
KINDS = ("value", "delete", "insert", "reorder", "truncate", "roll back", "replaced")
EVIDENT = (
    "reading", "inspection", "finding", "work", "photo", "member", "support", "site",
)  # fmt: skip


@dataclass(frozen=True)
class State:
    """A record, its copy, an older copy, another record, and the checkpoint."""

    store: Store
    path: Path
    whole: Path
    older: Path
    checkpoint: object


@dataclass(frozen=True)
class Told:
    """What was done and whether it was found and named."""

    kind: str
    covered_up: bool
    is_found: bool
    named: str


def tampering_of(store):
    """Get ready: a copy to come back to, an older state to roll back to."""
    path = Path(store.engine.url.database)
    with store.engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    store.close()
    whole, older = path.with_suffix(".whole"), path.with_suffix(".older")
    shutil.copy(path, older)
    _note(store)
    with store.engine.begin() as connection:
        guards.take_off(connection)
    store.close()
    shutil.copy(path, whole)
    with store.read_session() as session:
        checkpoint = make_checkpoint(session, now=NOW)
    store.close()
    return State(store, path, whole, older, checkpoint)


def attempt(state, chance):
    """Tamper once, verify, and put everything back."""
    kind, covers_up = chance.choice(KINDS), chance.random() < 0.5
    if kind == "roll back":
        shutil.copy(state.older, state.path)
    else:
        with _bare(state.store.url).begin() as connection:
            _CHANGES[kind](connection, chance)
            if covers_up and kind != "reorder":
                reseal(connection)
    with state.store.read_session() as session:
        found = verify(Asked(session, None, state.checkpoint, outlooks=0))
    broken = [one for one in found.broken if one.what != "guard"]
    named = str(broken[0]) if broken else ""
    state.store.close()
    for suffix in ("-wal", "-shm"):
        Path(f"{state.path}{suffix}").unlink(missing_ok=True)
    shutil.copy(state.whole, state.path)
    return Told(kind, covers_up, bool(named), named)


@cache
def _bare(url):
    """An engine that does not ask whether a row has its parent."""
    engine = sa.create_engine(url, poolclass=sa.pool.NullPool)
    prepare_sqlite(engine, foreign_keys=False)
    return engine


def _note(store):
    from monitor.store import ledger

    with store.write_session() as session:
        ledger.append(session, [("noted", "note", {})], actor="Edda", now=NOW)


def _some(connection, chance, table):
    rows = connection.execute(sa.select(TABLES[table])).mappings().fetchall()
    return chance.choice(rows)


def _value(connection, chance):
    table = TABLES[chance.choice(EVIDENT)]
    row = _some(connection, chance, table.name)
    keys = {column.name for column in table.primary_key}
    texts = [
        column.name
        for column in table.c
        if isinstance(row[column.name], str | float)
        and column.name not in keys
        and not hasattr(row[column.name], "value")
        and column.name not in ("sha256", "relation")
    ]
    name = chance.choice(texts)
    old = row[name]
    new = old + 1 if isinstance(old, float) else f"{old}x"
    connection.execute(
        table.update().where(table.c.id == row["id"]).values({name: new})
    )


def _delete(connection, chance):
    table = TABLES[chance.choice(("reading", "photo", "finding", "ledger"))]
    row = _some(connection, chance, table.name)
    (key,) = table.primary_key
    connection.execute(table.delete().where(key == row[key.name]))


def _insert(connection, chance):
    from monitor.clock import new_id

    row = dict(_some(connection, chance, "reading"))
    connection.execute(TABLES["reading"].insert().values(**row | {
        "id": new_id(), "supersedes_id": None, "repeat": 9,
    }))  # fmt: skip


def _reorder(connection, chance):
    ledger = TABLES["ledger"]
    first, second = sorted(chance.sample(range(1, _size(connection) + 1), 2))
    for old, new in ((first, 10**6), (second, first), (10**6, second)):
        connection.execute(ledger.update().where(ledger.c.seq == old).values(seq=new))


def _truncate(connection, chance):
    size = _size(connection)
    kept = chance.randrange(size - 5, size)
    connection.execute(TABLES["ledger"].delete().where(TABLES["ledger"].c.seq > kept))


def _replaced(connection, _chance):
    """Another ledger in the place of this one, whole in itself."""
    ledger = TABLES["ledger"]
    connection.execute(ledger.update().values(actor="someone", reason="none"))


def _size(connection):
    return connection.execute(sa.select(sa.func.count(TABLES["ledger"].c.seq))).scalar()


_CHANGES = {
    "value": _value,
    "delete": _delete,
    "insert": _insert,
    "reorder": _reorder,
    "truncate": _truncate,
    "replaced": _replaced,
}


def clean_verifies(state, count):
    """Whether the record that nobody touched holds, time after time."""
    for _ in range(count):
        with state.store.read_session() as session:
            found = verify(Asked(session, None, state.checkpoint, outlooks=0))
        yield all(one.what == "guard" for one in found.broken)
