"""Connections and transactions.

SQLite runs with WAL, synchronous FULL, foreign keys on; a write session takes the write
lock at BEGIN, so that reading and then writing never fails half way. PostgreSQL uses
its own defaults. A session lives as long as its `with` block.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from copy import copy
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.exc import DBAPIError, IntegrityError, OperationalError
from sqlalchemy.orm import Session

from monitor.errors import Conflict, StoreError, StoreUnavailable
from monitor.store import ledger, reach
from monitor.store.reach import Reach

BUSY_TIMEOUT_MS = 10_000
_WRITES = "underprop_writes"


class Store:
    """A database that is ready for use.

    Parameters
    ----------
    url : SQLAlchemy address, such as "sqlite:////data/underprop.db"
    """

    def __init__(self, url: str) -> None:
        self.url = url
        self.engine = _make_engine(url)
        self._writing = self.engine.execution_options(**{_WRITES: True})
        reach.watch(self.engine)

    def within(self, limits: Reach) -> "Store":
        """The same database, as far as one viewer reaches."""
        mine = copy(self)
        options: dict[str, Any] = {reach.OPTION: limits}
        mine.engine = self.engine.execution_options(**options)
        mine._writing = self._writing.execution_options(**options)
        return mine

    @contextmanager
    def read_session(self) -> Iterator[Session]:
        """One consistent view; nothing is kept."""
        with _translated(), Session(self.engine) as session:
            yield session

    @contextmanager
    def write_session(self) -> Iterator[Session]:
        """All or nothing: committed at the end, rolled back on any error."""
        with _translated(), Session(self._writing) as session, session.begin():
            yield session
            ledger.close(session)

    def close(self) -> None:
        """Give all connections back."""
        self.engine.dispose()


@contextmanager
def _translated() -> Iterator[None]:
    try:
        yield
    except IntegrityError as error:
        raise Conflict(
            f"The record refuses this: {error.orig}. Nothing was written."
        ) from error
    except OperationalError as error:
        raise StoreUnavailable(
            f"The database can not be used: {error.orig}. Nothing was written; check "
            "that it is there, not full and not held by another program, and try again."
        ) from error
    except DBAPIError as error:
        raise StoreError(f"The database said no: {error.orig}.") from error


def _make_engine(url: str) -> sa.Engine:
    parsed = sa.make_url(url)
    if parsed.get_backend_name() != "sqlite":
        return sa.create_engine(parsed, pool_pre_ping=True)
    if parsed.database:
        Path(parsed.database).parent.mkdir(parents=True, exist_ok=True)
    engine = sa.create_engine(parsed, connect_args={"timeout": BUSY_TIMEOUT_MS / 1000})
    prepare_sqlite(engine, foreign_keys=True)
    return engine


def prepare_sqlite(engine: sa.Engine, *, foreign_keys: bool) -> None:
    """Set the pragmas of every new connection and take over BEGIN."""

    @sa.event.listens_for(engine, "connect")
    def on_connect(connection: Any, _record: object) -> None:  # noqa: ANN401
        connection.isolation_level = None  # we say BEGIN ourselves
        cursor = connection.cursor()
        for pragma in (
            "journal_mode=WAL",
            "synchronous=FULL",
            f"foreign_keys={'ON' if foreign_keys else 'OFF'}",
            f"busy_timeout={BUSY_TIMEOUT_MS}",
        ):
            cursor.execute(f"PRAGMA {pragma}")
        cursor.close()

    @sa.event.listens_for(engine, "begin")
    def on_begin(connection: sa.Connection) -> None:
        writes = connection.get_execution_options().get(_WRITES, not foreign_keys)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
