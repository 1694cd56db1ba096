"""One way to put records in and get them out: row classes in, frozen records out.

A record's fields and its row's columns carry the same names, so one translation
serves all of them; the few that differ bring their own.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields
from datetime import datetime
from typing import Any, Generic, TypeVar
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.errors import NotFound
from monitor.store.ledger_rows import note_written
from monitor.store.models import Base

R = TypeVar("R")


class Repository(Generic[R]):
    """All records of one kind; what is written is noted for the ledger.

    Parameters
    ----------
    row : the table's class
    record : the frozen record it stands for
    to_values, to_record : own translation, where names differ
    """

    def __init__(
        self,
        row: type[Base],
        record: type[R],
        *,
        to_values: Callable[[R], dict[str, Any]] | None = None,
        to_record: Callable[[Mapping[str, Any]], R] | None = None,
    ) -> None:
        self.row = row
        self.table: sa.Table = row.metadata.tables[row.__tablename__]
        self._names = tuple(field.name for field in fields(record))  # type: ignore[arg-type]
        self._record = record
        self._to_values = to_values or self._plain_values
        self._to_record = to_record or self._plain_record

    def add(self, session: Session, records: Iterable[R]) -> None:
        """Write new records."""
        rows = [self._to_values(record) for record in records]
        if rows:
            session.execute(sa.insert(self.table), rows)
        for row in rows:
            note_written(session, self.table, row)

    def put(self, session: Session, records: Iterable[R]) -> None:
        """Write records in place of those with the same key (conclusions only)."""
        rows = [self._to_values(record) for record in records]
        keys = [column.name for column in self.table.primary_key]
        if not rows:
            return
        matches = [self.table.c[key] == sa.bindparam(f"key_{key}") for key in keys]
        session.execute(
            sa.delete(self.table).where(*matches),
            [{f"key_{key}": row[key] for key in keys} for row in rows],
        )
        session.execute(sa.insert(self.table), rows)

    def change(self, session: Session, record: R) -> None:
        """Write changed master data; the ledger keeps what it was."""
        row = self._to_values(record)
        session.execute(
            sa.update(self.table).where(self.table.c.id == row["id"]).values(**row)
        )
        note_written(session, self.table, row)

    def get(self, session: Session, key: UUID) -> R:
        """The record with that id, or NotFound."""
        found = self.all(session, self.table.c.id == key)
        if not found:
            raise NotFound(self.table.name.replace("_", " "), str(key))
        return found[0]

    def find(self, session: Session, **equals: object) -> R | None:
        """The one record whose columns equal these values, or None."""
        found = self.all(
            session, *(self.table.c[name] == value for name, value in equals.items())
        )
        return found[0] if found else None

    def all(self, session: Session, *where: sa.ColumnElement[bool]) -> list[R]:
        """Every record that meets the conditions, in the order of the key."""
        query = sa.select(self.table).where(*where).order_by(*self.table.primary_key)
        rows = session.execute(query).mappings()
        return [self._to_record(dict(row)) for row in rows]

    def current(
        self,
        session: Session,
        *where: sa.ColumnElement[bool],
        known_at: datetime | None = None,
    ) -> list[R]:
        """As `all`, leaving out what had been superseded by then."""
        return self.all(session, *where, *as_known(self.table, known_at))

    def count(self, session: Session, *where: sa.ColumnElement[bool]) -> int:
        """How many records meet the conditions."""
        query = sa.select(sa.func.count()).select_from(self.table).where(*where)
        return session.execute(query).scalar_one()

    def _plain_values(self, record: R) -> dict[str, Any]:
        return {name: getattr(record, name) for name in self._names}

    def _plain_record(self, row: Mapping[str, Any]) -> R:
        return self._record(**{name: row[name] for name in self._names})


def as_known(
    table: sa.Table, known_at: datetime | None
) -> tuple[sa.ColumnElement[bool], ...]:
    """Conditions for rows that were recorded, and not yet superseded, by then.

    None means now.
    """
    conditions: list[sa.ColumnElement[bool]] = []
    if known_at is not None:
        conditions.append(table.c.recorded_at <= known_at)
    if "supersedes_id" in table.c:
        heir = table.alias()
        superseded = sa.select(heir.c.id).where(heir.c.supersedes_id == table.c.id)
        if known_at is not None:
            superseded = superseded.where(heir.c.recorded_at <= known_at)
        conditions.append(~superseded.exists())
    return tuple(conditions)
