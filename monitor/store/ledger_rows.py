"""What of a row the ledger vouches for, and which rows a session has written.

A row says the columns that hold something: NULL, empty text and "no" say nothing. So a
column that a later revision adds, and that says nothing for the rows there were, leaves
their hashes as they are.
"""

import json
from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from datetime import UTC, date, datetime
from functools import cache
from hashlib import blake2b
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.ledger import canonical
from monitor.store import types
from monitor.store.models import Base
from monitor.store.models.guards import EVIDENCE, MASTER, SECRET

AT_ONCE = 5000
_WRITTEN = "rows written"
_OF_THE_LEDGER = {"ledger", "ledger_node"}

Key = tuple[str, str]
"""Table and primary key of a row."""


def vouched_tables() -> list[sa.Table]:
    """Tables whose every row has its hash in the ledger, parents first."""
    names = ({*EVIDENCE} | {*MASTER}) - _OF_THE_LEDGER
    return [table for table in Base.metadata.sorted_tables if table.name in names]


def content_of(table: sa.Table, values: Mapping[Any, Any]) -> str:
    """Canonical JSON of what a row says: one text on every engine."""
    said = {}
    for name, plain in plain_columns(table).items():
        value = values.get(name)
        if value is None or value == "" or value is False:
            continue
        said[name] = plain(value)
    return canonical({n: v for n, v in said.items() if v != "" and v is not False})


def key_of(table: sa.Table, values: Mapping[str, Any]) -> str:
    """Primary key of a row, as the ledger names it."""
    return "/".join(str(values[column.name]) for column in table.primary_key)


def note_written(session: Session, table: sa.Table, values: Mapping[str, Any]) -> None:
    """Remember a written row until the next ledger entry vouches for it."""
    if table.name in _VOUCHED:
        written: dict[Key, Mapping[str, Any]] = session.info.setdefault(_WRITTEN, {})
        written[table.name, key_of(table, values)] = values


def take_written(session: Session) -> dict[Key, str]:
    """Content of the rows written since this was asked last."""
    written: dict[Key, Mapping[str, Any]] = session.info.pop(_WRITTEN, {})
    tables = Base.metadata.tables
    return {key: content_of(tables[key[0]], values) for key, values in written.items()}


def has_written(session: Session) -> bool:
    """Whether rows wait for their ledger entry."""
    return bool(session.info.get(_WRITTEN))


_VOUCHED = ({*EVIDENCE} | {*MASTER}) - _OF_THE_LEDGER
_COLUMNS: dict[str, dict[str, Callable[[Any], object]]] = {}


def plain_columns(table: sa.Table) -> dict[str, Callable[[Any], object]]:
    """How each column that is no secret becomes a JSON value."""
    if table.name not in _COLUMNS:
        secret = SECRET.get(table.name, ())
        _COLUMNS[table.name] = {
            column.name: _plain(column.type)
            for column in table.c
            if column.name not in secret
        }
    return _COLUMNS[table.name]


def _plain(kind: object) -> Callable[[Any], object]:
    for type_, plain in _PLAIN.items():
        if isinstance(kind, type_):
            return plain
    return str


def _instant(value: datetime) -> str:
    return value.astimezone(UTC).isoformat(timespec="microseconds")


def _number(value: object) -> float:
    return float(value) + 0.0  # type: ignore[arg-type]  # no minus zero: SQLite keeps none


def _document(value: object) -> str:
    return canonical(json.loads(canonical(value)))


def _day(value: date) -> str:
    return value.isoformat()


def _id(value: UUID | str) -> str:
    return str(value)


_PLAIN: dict[type, Callable[[Any], object]] = {
    types.Id: _id,
    types.Day: _day,
    types.Instant: _instant,
    types.Number: _number,
    types.Whole: int,
    types.Flag: bool,
    types.Document: _document,
}


def contents(
    session: Session, table_name: str, keys: Iterable[str]
) -> Iterator[tuple[str, str]]:
    """Key and content of these rows of a table, as far as they are there."""
    table = Base.metadata.tables.get(table_name)
    if table is not None:
        (key_column,) = table.primary_key
        for row in rows_of(session, table, keys):
            yield str(row[key_column]), content_of(table, row)


def rows_of(
    session: Session, table: sa.Table, keys: Iterable[str]
) -> Iterator[sa.RowMapping]:
    """These rows of a table, as far as they are there."""
    (key_column,) = table.primary_key
    wanted = [UUID(key) for key in keys]
    for start in range(0, len(wanted), AT_ONCE):
        some = wanted[start : start + AT_ONCE]
        query = sa.select(table).where(key_column.in_(some))
        yield from session.connection().execute(query).mappings()


def unvouched(session: Session, known: Container[int]) -> Iterator[Key]:
    """Rows that no entry of the ledger vouches for."""
    for table in vouched_tables():
        keys = sa.select(*table.primary_key).execution_options(yield_per=5000)
        for row in session.connection().execute(keys):
            key = "/".join(str(part) for part in row)
            if number_of(table.name, key) not in known:
                yield table.name, key


def number_of(table: str, key: str) -> int:
    """A number of 64 bits for a row: a set of these is smaller than one of names."""
    digest = blake2b(f"{table} {key}".encode(), digest_size=8).digest()
    return int.from_bytes(digest, "big")


def orphans(session: Session) -> Iterator[tuple[str, str, str]]:
    """Table, key and foreign key of rows whose parent is not there."""
    connection = session.connection()
    if connection.dialect.name == "sqlite":
        found = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
        if found is None:
            return
    for table, column, query in _orphan_queries():
        for row in connection.execute(query):
            yield table, "/".join(map(str, row)), column


@cache
def _orphan_queries() -> tuple[tuple[str, str, sa.Select[Any]], ...]:
    made = []
    for table in Base.metadata.sorted_tables:
        for key in sorted(table.foreign_key_constraints, key=lambda key: str(key.name)):
            (column,), (element,) = list(key.columns), list(key.elements)
            parent = element.column.table.alias("parent")
            there = parent.c[element.column.name]
            query = (
                sa.select(*table.primary_key)
                .outerjoin(parent, column == there)
                .where(column.is_not(None), there.is_(None))
                .limit(100)
            )
            made.append((table.name, column.name, query))
    return tuple(made)


def unvouched_rows(session: Session) -> Iterator[tuple[str, int]]:
    """Note all rows as written, some thousand of a table at a time.

    For databases whose ledger vouches for no row yet; each batch wants its entry.
    """
    for table in vouched_tables():
        query = sa.select(table).order_by(*table.primary_key)
        rows = session.execute(query).mappings().fetchall()
        for start in range(0, len(rows), AT_ONCE):
            some = rows[start : start + AT_ONCE]
            for row in some:
                note_written(session, table, dict(row))
            yield table.name, len(some)
