"""An exact copy of a SQLite database while it is being written."""

import sqlite3
from contextlib import closing
from pathlib import Path

import sqlalchemy as sa

from monitor.errors import StoreUnavailable
from monitor.store.disk import said_in_words

_PAGES_AT_ONCE = 1000


def is_sqlite(url: str) -> bool:
    """Whether the database is one file."""
    return sa.make_url(url).get_backend_name() == "sqlite"


def database_file(url: str) -> Path:
    """The file of a SQLite database."""
    return Path(sa.make_url(url).database or "")


def copy_database(url: str, target: Path) -> None:
    """Copy a SQLite database through its backup interface: one moment, whole.

    Copying the file by hand leaves out what still lies in the write-ahead log; the
    interface does not. The copy is a single file.

    Raises
    ------
    StoreUnavailable : the disk is full, or the database can not be read
    """
    try:
        with (
            said_in_words(target),
            closing(sqlite3.connect(database_file(url))) as source,
            closing(sqlite3.connect(target)) as copy,
        ):
            source.backup(copy, pages=_PAGES_AT_ONCE)
            copy.execute("PRAGMA journal_mode=DELETE")
            (found,) = copy.execute("PRAGMA integrity_check").fetchone()
    except sqlite3.Error as error:
        target.unlink(missing_ok=True)
        raise StoreUnavailable(f"No copy could be made: {error}.") from error
    if found != "ok":
        raise StoreUnavailable(f"The copy is broken: {found}.")


def as_one_file(database: Path) -> None:
    """Fold the log of a database that nobody uses into its one file."""
    with closing(sqlite3.connect(database)) as connection:
        connection.execute("PRAGMA journal_mode=DELETE")


def photos_named_in(database: Path) -> list[str]:
    """Hash of every photograph that a SQLite file names, whatever its revision."""
    with closing(sqlite3.connect(f"file:{database}?mode=ro", uri=True)) as connection:
        rows = connection.execute("SELECT DISTINCT sha256 FROM photo ORDER BY sha256")
        return [sha256 for (sha256,) in rows]
