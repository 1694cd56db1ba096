"""What of a row the ledger vouches for, and which rows a session has written.

A row says the columns that hold something: NULL, empty text and "no" say nothing. So a
column that a later revision adds, and that says nothing for the rows there were, leaves
their hashes as they are.
"""

import json
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.ledger import canonical
from monitor.store import types
from monitor.store.models import Base
from monitor.store.models.guards import EVIDENCE, MASTER, SECRET

_WRITTEN = "rows written"
_OF_THE_LEDGER = {"ledger", "ledger_node"}

Key = tuple[str, str]
"""Table and id of a row."""


def vouched_tables() -> list[sa.Table]:
    """Tables whose every row has its hash in the ledger, parents first."""
    names = ({*EVIDENCE} | {*MASTER}) - _OF_THE_LEDGER
    return [table for table in Base.metadata.sorted_tables if table.name in names]


def content_of(table: sa.Table, values: Mapping[str, Any]) -> str:
    """Canonical JSON of what a row says: one text on every engine."""
    said = {}
    for name, plain in _plain_columns(table).items():
        value = values.get(name)
        if value is None or value == "" or value is False:
            continue
        said[name] = plain(value)
    return canonical({n: v for n, v in said.items() if v != "" and v is not False})


def note_written(session: Session, table: sa.Table, values: Mapping[str, Any]) -> None:
    """Remember a written row until the next ledger entry vouches for it."""
    if table.name in _VOUCHED:
        written: dict[Key, Mapping[str, Any]] = session.info.setdefault(_WRITTEN, {})
        written[table.name, str(values["id"])] = values


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


def _plain_columns(table: sa.Table) -> dict[str, Callable[[Any], object]]:
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
