"""Did a migration leave alone what was recorded? Columns hashed before and after.

Values are read as the engine gives them, without the models, because the tables are of
another revision than this program.
"""

import hashlib
from collections.abc import Collection, Mapping

import sqlalchemy as sa

from monitor.store.models.guards import EVIDENCE, MASTER

Hashes = Mapping[tuple[str, str], str]
"""(table, column) to the hash of all its values, in the order of the primary key."""


def column_hashes(connection: sa.Connection) -> Hashes:
    """Hash every column of every kept table that is there."""
    inspector = sa.inspect(connection)
    there = set(inspector.get_table_names())
    found: dict[tuple[str, str], str] = {}
    for name in sorted((set(EVIDENCE) | set(MASTER)) & there):
        key = inspector.get_pk_constraint(name)["constrained_columns"]
        found |= {(name, c): h for c, h in _hashed(connection, name, key).items()}
    return found


def changed_columns(
    before: Hashes, after: Hashes, declared: Collection[tuple[str, str]]
) -> list[str]:
    """Columns that are there before and after, differ, and were not declared to."""
    return [
        f"{table}.{column}"
        for (table, column), was in before.items()
        if after.get((table, column), was) != was and (table, column) not in declared
    ]


def _hashed(
    connection: sa.Connection, table: str, key: Collection[str]
) -> Mapping[str, str]:
    order = ", ".join(f'"{name}"' for name in key)
    rows = connection.exec_driver_sql(f'SELECT * FROM "{table}" ORDER BY {order}')
    digests = [(name, hashlib.sha256()) for name in rows.keys()]  # noqa: SIM118
    for row in rows:
        for value, (_, digest) in zip(row, digests, strict=True):
            digest.update(f"{value!r}\n".encode())
    return {name: digest.hexdigest() for name, digest in digests}
