"""Bringing a database up to date, and refusing one that is not."""

from collections.abc import Callable
from pathlib import Path

import sqlalchemy as sa
from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy.orm import Session

from monitor.errors import SchemaOutOfDate
from monitor.store.engine import Store

MIGRATIONS = Path(__file__).parents[2] / "migrations"


Afterwards = Callable[[Session], None]
"""What belongs to an upgrade: done in its transaction, after the last revision."""


def upgrade(
    url: str, *, to: str = "head", afterwards: Afterwards | None = None
) -> None:
    """Run every migration that is still missing; what is recorded is kept.

    Raises
    ------
    SchemaOutOfDate : the database was made by a newer program
    """
    store = Store(url)
    found = current_revision(store)
    store.close()
    if found and found not in _known_revisions():
        raise SchemaOutOfDate(found, head_revision())
    config = config_for(url)
    config.attributes["afterwards"] = afterwards
    command.upgrade(config, to)


def downgrade(url: str, *, to: str) -> None:
    """Go back to an earlier revision (tests and emergencies)."""
    command.downgrade(config_for(url), to)


def current_revision(store: Store) -> str:
    """Revision the database is at, empty if it was never set up.

    Raises
    ------
    StoreUnavailable : it can not be opened
    """
    with store.read_session() as session:
        found = MigrationContext.configure(session.connection())
        return found.get_current_revision() or ""


def head_revision() -> str:
    """Revision this program needs."""
    return ScriptDirectory(str(MIGRATIONS)).get_current_head() or ""


def require_current(store: Store) -> None:
    """Refuse a database of another version.

    Raises
    ------
    SchemaOutOfDate : found and expected revision, and what to run
    """
    found, expected = current_revision(store), head_revision()
    if found != expected:
        raise SchemaOutOfDate(found, expected)


def _known_revisions() -> set[str]:
    walk = ScriptDirectory(str(MIGRATIONS)).walk_revisions()
    return {revision.revision for revision in walk}


def config_for(url: str) -> Config:
    """Alembic settings for the database at that address."""
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    config.attributes["url"] = sa.make_url(url)
    return config
