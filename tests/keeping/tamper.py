"""What someone with the database file in hand can do, and cover up."""

import json
from contextlib import contextmanager

import sqlalchemy as sa

from monitor.domain.ledger import (
    START,
    Seal,
    chain_hash,
    commitment,
    leaf_hash,
    row_hash,
)
from monitor.domain.ledger_tree import Growing
from monitor.store import ledger
from monitor.store.ledger_rows import content_of, key_of
from monitor.store.models import Base, guards

TABLES = {table.name: table for table in Base.metadata.sorted_tables}
NODES = TABLES["ledger_node"]


@contextmanager
def unguarded(store):
    """A connection on which evidence takes changes, as for whoever drops triggers."""
    with store.engine.begin() as connection:
        guards.take_off(connection)
        yield connection
        guards.put_on(connection, Base.metadata)


def reseal(connection):
    """Work out every hash anew from what the tables say now: a perfect cover-up.

    Rows that are gone are dropped from their entries, changed rows hashed again.
    """
    rows = _row_contents(connection)
    previous, tree = START, Growing()
    entries, nodes = [], []
    ledger_, columns = TABLES["ledger"], TABLES["ledger"].c
    found = connection.execute(sa.select(ledger_).order_by(columns.seq))
    for number, row in enumerate(found.mappings().fetchall(), 1):
        entry, previous = _resealed(dict(row), number, rows, previous)
        entries.append({**entry, "was": row["seq"]})
        for level, place, made in tree.add(bytes.fromhex(entry["leaf_hash"])):
            if level >= 8:
                nodes.append({"level": level, "place": place, "hash": made.hex()})
    names = [name for name in entries[0] if name != "was"] if entries else []
    changed = {name: sa.bindparam(f"new_{name}") for name in names}
    query = ledger_.update().where(columns.seq == sa.bindparam("was")).values(changed)
    if entries:
        connection.execute(query, [
            {"was": one["was"], **{f"new_{name}": one[name] for name in names}}
            for one in entries
        ])  # fmt: skip
    connection.execute(NODES.delete())
    if nodes:
        connection.execute(NODES.insert(), nodes)


def _row_contents(connection):
    return {
        (table.name, key_of(table, row)): content_of(table, row)
        for table in TABLES.values()
        if table.name in {*guards.EVIDENCE, *guards.MASTER}
        for row in connection.execute(sa.select(table)).mappings()
    }


def _resealed(row, number, rows, previous):
    entry = ledger.entry_of(row)
    change, salt = entry.change, entry.seal.salt
    told = [
        [table, key, row_hash(salt, table, key, rows[table, key])]
        for table, key, _ in json.loads(entry.seal.rows)
        if (table, key) in rows
    ]
    text = json.dumps(told, separators=(",", ":"))
    seal = Seal(entry.seal.form, text, salt, commitment(change, salt))
    leaf = leaf_hash(change, seal)
    chain = chain_hash(previous, leaf)
    made = {"seq": number, "row_hashes": text, "commitment": seal.commitment}
    return made | {"leaf_hash": leaf, "chain_hash": chain}, chain
