"""The tables of the store in words, for the data dictionary."""

from dataclasses import dataclass

import sqlalchemy as sa

from monitor.store.models import Base
from monitor.store.models.guards import EVIDENCE, MASTER


@dataclass(frozen=True, slots=True)
class ColumnWords:
    """One column.

    Attributes
    ----------
    holds : kind of its values
    must : whether every row has one
    leads_to : table and column it points at, empty for none
    """

    name: str
    holds: str
    must: bool
    leads_to: str


@dataclass(frozen=True, slots=True)
class TableWords:
    """One table.

    Attributes
    ----------
    meaning : what one row of it is
    kept : whether rows are added only, change in place, or come and go
    """

    name: str
    meaning: str
    kept: str
    columns: tuple[ColumnWords, ...]


def described_tables() -> tuple[TableWords, ...]:
    """Every table, in the order in which they can be filled."""
    meanings = {
        str(mapper.class_.__tablename__): mapper.class_.__doc__ or ""
        for mapper in Base.registry.mappers
    }
    return tuple(
        TableWords(
            table.name,
            meanings.get(table.name, "").strip().split("\n")[0],
            _kept(table.name),
            tuple(map(_column, table.columns)),
        )
        for table in Base.metadata.sorted_tables
    )


def _kept(name: str) -> str:
    if name in EVIDENCE:
        return "evidence: only added to"
    if name in MASTER:
        return "changes in place; the ledger keeps what it was"
    return "comes and goes; can be worked out anew"


def _column(column: sa.Column[object]) -> ColumnWords:
    targets = ", ".join(sorted(key.target_fullname for key in column.foreign_keys))
    holds = type(column.type).__name__.lower()
    return ColumnWords(column.name, holds, not column.nullable, targets)
