# ruff: noqa: ANN401 - a type decorator's hooks take whatever the driver hands over
"""Column types that mean the same on SQLite and PostgreSQL.

SQLite tables are STRICT, so each type names one of its storage classes there. Dates and
instants are ISO 8601 text on SQLite and native on PostgreSQL; a naive instant, a
datetime where a civil date is wanted, and NaN are refused before they are stored.
"""

import json
import math
from datetime import UTC, date, datetime
from enum import StrEnum
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.engine import Dialect
from sqlalchemy.types import TypeDecorator, TypeEngine

from monitor.domain.ledger import canonical


class PerEngine(TypeDecorator[Any]):
    """One storage class on SQLite, a native type elsewhere."""

    impl: Any = sa.Text
    on_sqlite: type[TypeEngine[Any]] = sa.Text

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        """Pick the storage class of the engine at hand."""
        plain: TypeEngine[Any] = (
            self.on_sqlite() if dialect.name == "sqlite" else self.impl_instance
        )
        return plain


class Id(PerEngine):
    """A UUID; text on SQLite."""

    cache_ok = True
    impl = sa.Uuid

    def process_bind_param(self, value: UUID | None, dialect: Dialect) -> object:
        """Store as text on SQLite."""
        if value is None or dialect.name != "sqlite":
            return value
        return str(value)

    def process_result_value(self, value: Any, dialect: Dialect) -> UUID | None:
        """Return a UUID."""
        return value if value is None or isinstance(value, UUID) else UUID(value)


class Day(PerEngine):
    """A civil date at the site; ISO text on SQLite."""

    cache_ok = True
    impl = sa.Date

    def process_bind_param(self, value: date | None, dialect: Dialect) -> object:
        """Refuse an instant where a civil date is wanted."""
        if isinstance(value, datetime):
            raise TypeError(f"A civil date is wanted, found the instant {value}.")
        if value is None or dialect.name != "sqlite":
            return value
        return value.isoformat()

    def process_result_value(self, value: Any, dialect: Dialect) -> date | None:
        """Return a date."""
        return date.fromisoformat(value) if isinstance(value, str) else value


class Instant(PerEngine):
    """An aware instant, kept in UTC; ISO text of fixed width on SQLite."""

    cache_ok = True
    impl = sa.DateTime(timezone=True)

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> object:
        """Refuse a naive instant; normalise to UTC."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise TypeError(f"An aware instant is wanted, found {value} without zone.")
        utc = value.astimezone(UTC)
        if dialect.name != "sqlite":
            return utc
        return utc.isoformat(timespec="microseconds")

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        """Return an aware instant in UTC."""
        if value is None:
            return None
        instant: datetime = (
            datetime.fromisoformat(value) if isinstance(value, str) else value
        )
        return instant.astimezone(UTC)


class Number(PerEngine):
    """A finite double."""

    cache_ok = True
    impl = sa.Double
    on_sqlite = sa.REAL

    def process_bind_param(self, value: Any, dialect: Dialect) -> float | None:
        """Refuse NaN and infinities; strip numpy's own number types."""
        if value is None:
            return None
        number = float(value)
        if not math.isfinite(number):
            raise ValueError(f"A finite number is wanted, found {number}.")
        return number


class Whole(PerEngine):
    """A whole number."""

    cache_ok = True
    impl = sa.BigInteger
    on_sqlite = sa.Integer

    def process_bind_param(self, value: Any, dialect: Dialect) -> int | None:
        """Strip numpy's own number types."""
        return None if value is None else int(value)


class Flag(PerEngine):
    """Yes or no."""

    cache_ok = True
    impl = sa.Boolean
    on_sqlite = sa.Integer

    def process_bind_param(self, value: bool | None, dialect: Dialect) -> object:
        """Store 0 or 1 on SQLite."""
        if value is None:
            return None
        return int(value) if dialect.name == "sqlite" else bool(value)

    def process_result_value(self, value: Any, dialect: Dialect) -> bool | None:
        """Return a bool."""
        return None if value is None else bool(value)


class Words(PerEngine):
    """Text of any length."""

    cache_ok = True


class Choice(PerEngine):
    """One of our words, kept as text."""

    cache_ok = True

    def __init__(self, words: type[StrEnum]) -> None:
        super().__init__()
        self.words = words

    def process_bind_param(self, value: Any, dialect: Dialect) -> str | None:
        """Refuse a word that is not ours."""
        return None if value is None else self.words(value).value

    def process_result_value(self, value: Any, dialect: Dialect) -> StrEnum | None:
        """Return the word."""
        return None if value is None else self.words(value)


class Document(PerEngine):
    """A JSON document, in canonical text."""

    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> str | None:
        """Store canonical JSON; NaN is refused."""
        return None if value is None else canonical(value)

    def process_result_value(self, value: Any, dialect: Dialect) -> Any:
        """Return the parsed document."""
        return None if value is None else json.loads(value)
