"""The common ground of all tables: naming, strictness, column shorthands."""

from enum import StrEnum
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import DeclarativeBase, Mapped, declared_attr, mapped_column
from sqlalchemy.schema import SchemaItem

from monitor.store.types import Choice, Id, Instant, Words

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


class Base(DeclarativeBase):
    """Every table is STRICT on SQLite and none cascades a delete."""

    metadata = sa.MetaData(naming_convention=NAMING)
    checks: tuple[SchemaItem, ...] = ()

    @declared_attr.directive
    def __table_args__(cls) -> tuple[Any, ...]:  # noqa: N805 - SQLAlchemy passes the class
        """Constraints of the class, and STRICT."""
        return (*cls.checks, {"sqlite_strict": True})


def own_id() -> Mapped[UUID]:
    """A primary key that a client may have made."""
    return mapped_column(Id, primary_key=True)


def points_to(target: str, *, index: bool = True) -> Mapped[UUID]:
    """A required foreign key."""
    return mapped_column(Id, sa.ForeignKey(target), index=index)


def may_point_to(target: str, *, index: bool = True) -> Mapped[UUID | None]:
    """An optional foreign key."""
    return mapped_column(Id, sa.ForeignKey(target), index=index)


def supersedes(target: str) -> Mapped[UUID | None]:
    """The entry this one corrects; an entry can be corrected once, then its heir."""
    return mapped_column(Id, sa.ForeignKey(target), unique=True)


def words() -> Mapped[str]:
    """Required text, empty if there is none."""
    return mapped_column(Words)


def instant() -> Mapped[Any]:
    """A required instant."""
    return mapped_column(Instant)


def choice(kind: type[StrEnum]) -> Mapped[Any]:
    """One of our words."""
    return mapped_column(Choice(kind))


def only(column: str, kind: type[StrEnum]) -> sa.CheckConstraint:
    """The database refuses a word that is not ours."""
    allowed = ", ".join("'" + word.value.replace("'", "''") + "'" for word in kind)
    return sa.CheckConstraint(f"{column} IN ({allowed})", name=column)
