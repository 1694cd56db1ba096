"""Evidence refuses changes and removals in the database itself, on both engines."""

import sqlite3
from dataclasses import replace
from datetime import UTC, date, datetime

import psycopg
import pytest
import sqlalchemy as sa
from alembic.migration import MigrationContext
from alembic.operations import Operations

from monitor.clock import new_id
from monitor.errors import Conflict
from monitor.store import ledger, records
from monitor.store.models import Base, guards
from tests.build import LONG_AGO, a_support, some_readings
from tests.keeping.tamper import unguarded

NOW = datetime(2026, 6, 1, tzinfo=UTC)
TABLES = {table.name: table for table in Base.metadata.sorted_tables}


def fill(store):
    with store.write_session() as session:
        standing = a_support(session)
        some_readings(session, standing, "settlement", {date(2020, 1, 1): 12.5})
        ledger.append(session, [("noted", "note", {})], actor="Ines", now=NOW)
    return standing


def raw_rows(store, table):
    with store.engine.connect() as connection:
        return connection.execute(sa.select(TABLES[table])).fetchall()


def test_every_table_is_evidence_or_master_or_passing():
    """A new table must say which it is: add it to one of the lists of the guards."""
    listed = {*guards.EVIDENCE, *guards.MASTER, *guards.PASSING}

    assert set(TABLES) <= listed


def test_every_column_that_names_a_person_is_there():
    for table, personal in guards.EVIDENCE.items():
        assert set(personal) <= set(TABLES[table].c.keys())


@pytest.mark.parametrize("table", ["inspection", "reading", "mark", "ledger"])
@pytest.mark.parametrize("how", ["UPDATE {} SET {} = {}", "DELETE FROM {}"])
def test_evidence_refuses_update_and_delete(any_store, table, how):
    fill(any_store)
    before = raw_rows(any_store, table)
    column = "seq" if table == "ledger" else "recorded_at"
    statement = how.format(table, column, column)

    with pytest.raises(Conflict, match="is kept"), any_store.write_session() as session:
        session.execute(sa.text(statement))

    assert raw_rows(any_store, table) == before


@pytest.mark.parametrize("table", ["site", "support", "member", "event", "account"])
def test_master_data_are_never_removed(any_store, table):
    with any_store.write_session() as session:
        a_support(session)
        session.execute(
            sa.text(
                "INSERT INTO event (id, kind, name, happened_on, area, note, "
                f"recorded_at, withdrawn) VALUES ('{new_id()}', 'storm', 'S', "
                "'2026-01-03', '', '', '2026-01-03 00:00:00+00:00', FALSE)"
            )
        )
        session.execute(
            sa.text(
                "INSERT INTO account (id, name, email, role, password_hash, is_active, "
                f"recorded_at) VALUES ('{new_id()}', 'Ines', '', 'inspector', '', "
                "FALSE, '2026-01-03 00:00:00+00:00')"
            )
        )

    with pytest.raises(Conflict, match="is kept"), any_store.write_session() as session:
        session.execute(sa.text(f"DELETE FROM {table}"))


def test_master_data_change_in_place(any_store):
    standing = fill(any_store)

    with any_store.write_session() as session:
        records.SUPPORTS.change(session, replace(standing.support, note="moved"))

    with any_store.read_session() as session:
        assert records.SUPPORTS.get(session, standing.support.id).note == "moved"


def test_a_bare_sqlite_program_is_refused_too(sqlite_store):
    fill(sqlite_store)
    before = raw_rows(sqlite_store, "reading")
    bare = sqlite3.connect(sqlite_store.engine.url.database)
    columns = ", ".join(TABLES["reading"].c.keys())
    said = columns.replace("value", "42.5", 1)

    for statement in (
        "UPDATE reading SET value = 42.5",
        "DELETE FROM reading",
        f"REPLACE INTO reading ({columns}) SELECT {said} FROM reading",
        f"INSERT INTO reading ({columns}) SELECT {said} FROM reading WHERE true "
        "ON CONFLICT DO UPDATE SET value = 42.5",
    ):
        with pytest.raises(sqlite3.IntegrityError, match="is kept"):
            bare.execute(statement)

    bare.close()
    assert raw_rows(sqlite_store, "reading") == before


@pytest.mark.postgres
def test_truncate_is_refused_too(postgres_store):
    fill(postgres_store)
    url = postgres_store.engine.url.set(drivername="postgresql")

    with (
        psycopg.connect(url.render_as_string(hide_password=False)) as connection,
        pytest.raises(psycopg.IntegrityError, match="is kept"),
    ):
        connection.execute("TRUNCATE reading CASCADE")


def begin_erasure(session):
    change = (guards.ERASURE_BEGUN, "person", {})
    ledger.append(session, [change], actor="Ines", now=NOW)


def test_a_name_changes_only_while_an_erasure_is_the_newest_entry(any_store):
    fill(any_store)
    rename = sa.text("UPDATE inspection SET inspector = 'gone'")

    with pytest.raises(Conflict, match="is kept"), any_store.write_session() as session:
        session.execute(rename)
    with any_store.write_session() as session:
        begin_erasure(session)
        session.execute(rename)
        ledger.append(session, [("erasure done", "person", {})], actor="I", now=NOW)
    with pytest.raises(Conflict, match="is kept"), any_store.write_session() as session:
        session.execute(sa.text("UPDATE inspection SET inspector = 'again'"))

    with any_store.read_session() as session:
        assert records.INSPECTIONS.all(session)[0].inspector == "gone"


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE inspection SET inspected_on = '2019-01-01'",
        "UPDATE inspection SET inspector = 'x', note = 'y'",
        "UPDATE reading SET value = 1.0",
        "UPDATE ledger SET leaf_hash = ''",
        "DELETE FROM inspection",
    ],
)
def test_a_fact_does_not_change_even_during_an_erasure(any_store, statement):
    fill(any_store)

    with pytest.raises(Conflict, match="is kept"), any_store.write_session() as session:
        begin_erasure(session)
        session.execute(sa.text(statement))


def test_guards_that_were_dropped_are_missed(any_store):
    with unguarded(any_store) as connection:
        assert "reading_no_update" in guards.missing_guards(connection, Base.metadata)

    with any_store.engine.connect() as connection:
        assert guards.missing_guards(connection, Base.metadata) == []


def test_a_recreated_table_has_no_guard_until_it_is_put_on_again(sqlite_store):
    """Why the migrations put every guard on anew at their end."""
    fill(sqlite_store)
    with sqlite_store.engine.begin() as connection:
        connection.exec_driver_sql("PRAGMA defer_foreign_keys = ON")
        operations = Operations(MigrationContext.configure(connection))
        with operations.batch_alter_table("photo", recreate="always"):
            pass

        assert "photo_no_update" in guards.missing_guards(connection, Base.metadata)
        guards.put_on(connection, Base.metadata)
        assert guards.missing_guards(connection, Base.metadata) == []


def test_two_readings_of_one_id_are_refused_in_words(any_store):
    standing = fill(any_store)
    with any_store.read_session() as session:
        (reading,) = records.READINGS.all(session)

    with pytest.raises(Conflict), any_store.write_session() as session:
        records.READINGS.add(session, [replace(reading, value=42.5)])

    assert standing.support.recorded_at == LONG_AGO
