"""Rows as plain values for an archive, and back; the same on every engine."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.ledger import told
from monitor.errors import InvalidInput
from monitor.store import ledger, ledger_nodes, types
from monitor.store.ledger_rows import plain_columns, vouched_tables
from monitor.store.models import Base
from monitor.store.models.guards import SECRET

CONCLUSIONS = ("outlook", "standing", "due", "stale", "calibration")
LEDGER = "ledger"
AT_ONCE = 2000
Row = dict[str, Any]  # JSON values by column

_TABLES = Base.metadata.tables
_FROM_TEXT: dict[type, Callable[[str], object]] = {
    types.Id: UUID,
    types.Day: date.fromisoformat,
    types.Instant: datetime.fromisoformat,
}


def archived_tables() -> list[sa.Table]:
    """The tables of an archive, parents first; the ledger comes last."""
    kept = {table.name for table in vouched_tables()} | set(CONCLUSIONS)
    tables = [table for table in Base.metadata.sorted_tables if table.name in kept]
    return [*tables, _TABLES[LEDGER]]


def vouched_keys() -> dict[str, list[str]]:
    """Key columns of the tables whose rows the ledger vouches for."""
    return {t.name: [c.name for c in t.primary_key] for t in vouched_tables()}


def row_classes() -> dict[str, type[Base]]:
    """The class of each table; its docstring says what a row is."""
    return {
        mapper.class_.__tablename__: mapper.class_ for mapper in Base.registry.mappers
    }


def column_names(table: str) -> list[str]:
    """The columns of a table in an archive."""
    return list(plain_columns(_TABLES[table]))


def plain_rows(session: Session, table: sa.Table) -> Iterator[Row]:
    """Every row as JSON values, in the order of the key; secrets are left out."""
    if table.name == LEDGER:
        yield from (told(entry) for entry in ledger.entries(session))
        return
    columns = plain_columns(table)
    query = sa.select(table).order_by(*_order(session, table))
    with session.execute(query.execution_options(yield_per=AT_ONCE)) as rows:
        for row in rows.mappings():
            yield {name: _shown(row[name], columns[name]) for name in columns}


def is_empty(session: Session) -> bool:
    """Whether there is no row in any of these tables."""
    return not any(
        session.execute(sa.select(table).limit(1)).first()
        for table in archived_tables()
    )


def insert_rows(session: Session, table: sa.Table, rows: Iterable[Row]) -> None:
    """Write the rows of an archive; those that point at others follow them.

    Raises
    ------
    InvalidInput : a row has a column that this program does not know
    """
    columns = {column.name: column for column in table.c}
    made = [_row_of(columns, row) for row in rows]
    for some in _parents_first(table, made):
        for start in range(0, len(some), AT_ONCE):
            session.execute(sa.insert(table), some[start : start + AT_ONCE])


def insert_entries(session: Session, rows: Sequence[Row]) -> None:
    """Write the entries of a ledger as they were, and grow its tree."""
    table = _TABLES[LEDGER]
    columns = {column.name: column for column in table.c}
    for start in range(0, len(rows), AT_ONCE):
        some = [
            _row_of(columns, {"row_hashes": row["rows"], **_without(row, "rows")})
            for row in rows[start : start + AT_ONCE]
        ]
        session.execute(sa.insert(table), some)
        ledger_nodes.grow(session, start + 1, [row["leaf_hash"] for row in some])


def _without(row: Row, name: str) -> Row:
    return {key: value for key, value in row.items() if key != name}


def _order(session: Session, table: sa.Table) -> list[sa.ColumnElement[Any]]:
    """By bytes, as SQLite sorts texts, whatever the language of the server."""
    is_postgres = session.get_bind().dialect.name == "postgresql"
    return [
        sa.collate(column, "C")
        if is_postgres and isinstance(column.type, types.Words)
        else column
        for column in table.primary_key
    ]


def _shown(value: Any, plain: Any) -> Any:  # noqa: ANN401 - JSON
    if value is None or isinstance(value, dict | list):
        return value
    return plain(value)


def _row_of(columns: Mapping[str, sa.Column[Any]], row: Row) -> Row:
    strange = set(row) - set(columns)
    if strange:
        raise InvalidInput(
            f"The archive has columns this program does not know: {sorted(strange)}. "
            "Take it in with the program that wrote it, or a newer one.",
            code="arc-003",
        )
    return {name: _value_of(column, row.get(name)) for name, column in columns.items()}


def _value_of(column: sa.Column[Any], value: Any) -> Any:  # noqa: ANN401 - JSON
    """A column that is not in the archive says nothing."""
    if value is None:
        return None if column.nullable else _nothing(column)
    for kind, read in _FROM_TEXT.items():
        if isinstance(column.type, kind):
            return read(value)
    return value


def _nothing(column: sa.Column[Any]) -> object:
    if isinstance(column.type, types.Flag):
        return False
    if isinstance(column.type, types.Words) or column.name in SECRET.get(
        column.table.name, ()
    ):
        return ""
    raise InvalidInput(
        f"The archive says nothing of {column.table.name}.{column.name}.",
        code="arc-004",
    )


def _parents_first(table: sa.Table, rows: list[Row]) -> Iterator[list[Row]]:
    """Rows in rounds, each pointing only at rows of earlier rounds or at itself."""
    inner = [key.parent.name for key in table.foreign_keys if key.column.table is table]
    if not inner:
        yield rows
        return
    written: set[object] = set()
    while rows:
        ready: list[Row] = []
        later: list[Row] = []
        for row in rows:
            wanted = {row[name] for name in inner} - {None, row["id"]}
            (ready if wanted <= written else later).append(row)
        if not ready:
            raise InvalidInput(
                f"Rows of {table.name} point at rows that are not in the archive.",
                code="arc-005",
            )
        yield ready
        written |= {row["id"] for row in ready}
        rows = later
