"""Runs the revisions, on SQLite and PostgreSQL alike.

Alembic's batch mode on SQLite drops and recreates a table. With foreign keys on, a
cascade would erase the children and report success; so they are switched off before
the transaction begins and everything is checked at the end.

All steps are one transaction: an upgrade that is cut short leaves the old database.
The guards of the evidence are taken off at its beginning and put on at its end, so a
revision may change rows and recreate tables, and no reader ever meets unguarded ones.
"""

import sqlalchemy as sa
from alembic import context
from alembic.autogenerate.api import AutogenContext
from sqlalchemy.orm import Session

from monitor.store.engine import prepare_sqlite
from monitor.store.models import Base, guards
from monitor.store.types import PerEngine
from monitor.store.unchanged import Hashes, changed_columns, column_hashes

LOCK_KEY = 7_405_213


def render_item(type_: str, item: object, autogen: AutogenContext) -> str | bool:
    """Write our column types as plain ones: a revision imports nothing of ours."""
    if type_ != "type" or not isinstance(item, PerEngine):
        return False
    plain = item.impl_instance
    name = (
        "DateTime(timezone=True)"
        if isinstance(plain, sa.DateTime)
        else (f"{type(plain).__name__}()")
    )
    if isinstance(plain, sa.Text):
        return "sa.Text()"
    return f"sa.{name}.with_variant(sa.{item.on_sqlite.__name__}(), 'sqlite')"


def run() -> None:
    """Upgrade over one connection."""
    url = context.config.attributes["url"]
    engine = sa.create_engine(url, poolclass=sa.pool.NullPool)
    is_sqlite = url.get_backend_name() == "sqlite"
    if is_sqlite:
        prepare_sqlite(engine, foreign_keys=False)
    with engine.connect() as connection:
        if not is_sqlite:
            connection.execute(sa.text("SET lock_timeout = '10s'"))
            connection.execute(sa.text(f"SELECT pg_advisory_lock({LOCK_KEY})"))
            connection.commit()
        context.configure(
            connection=connection,
            target_metadata=Base.metadata,
            render_as_batch=is_sqlite,
            compare_type=False,
            render_item=render_item,
            transactional_ddl=True,
            transaction_per_migration=False,
        )
        with context.begin_transaction():
            if is_there():
                return
            guards.take_off(connection)
            before = column_hashes(connection)
            context.run_migrations()
            check_unchanged(connection, before)
            if is_sqlite:
                check_parents(connection)
            if (
                context.get_context().get_current_revision()
                == context.get_head_revision()
            ):
                guards.put_on(connection, Base.metadata)
                finish(connection)


def is_there() -> bool:
    """Whether the database is at the revision that is asked for already."""
    asked = context.get_context().opts.get("destination_rev")
    here = context.get_context().get_current_revision()
    return asked is not None and context.script.as_revision_number(asked) == here


def finish(connection: sa.Connection) -> None:
    """Do what belongs to this upgrade, so that nothing comes between it and the rest."""
    afterwards = context.config.attributes.get("afterwards")
    if afterwards is not None:
        with Session(connection) as session:
            afterwards(session)
            session.commit()  # of what the session holds; the upgrade commits itself


def check_unchanged(connection: sa.Connection, before: Hashes) -> None:
    """Refuse, and so undo, a migration that changes more than its revision declares.

    A revision declares with CHANGES = {("table", "column"), ...}.
    """
    scripts = context.script.walk_revisions()
    declared = {pair for s in scripts for pair in getattr(s.module, "CHANGES", ())}
    changed = changed_columns(before, column_hashes(connection), declared)
    if changed:
        raise RuntimeError(f"The migration changed what was recorded: {changed}")


def check_parents(connection: sa.Connection) -> None:
    """Refuse, and so undo, a migration that leaves rows without their parent."""
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
    if broken:
        raise RuntimeError(f"Rows without their parent after migration: {broken[:20]}")


run()
