"""The database made by migrations is the one the models describe, and data survives."""

import shutil
from datetime import date

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory

from monitor.errors import SchemaOutOfDate
from monitor.store import Store, schema
from monitor.store.models import Base
from tests.build import a_support, some_readings


def revisions():
    walk = ScriptDirectory(str(schema.MIGRATIONS)).walk_revisions()
    return [revision.revision for revision in walk][::-1]


def ddl(engine):
    query = "SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL"
    with engine.connect() as connection:
        rows = connection.exec_driver_sql(query).fetchall()
    return {
        name: sorted(line.strip(" ,\t") for line in sql.replace('"', "").splitlines())
        for name, sql in rows
        if name != "alembic_version"
    }


def table_counts(store):
    with store.engine.connect() as connection:
        return {
            table.name: connection.execute(
                sa.select(sa.func.count()).select_from(table)
            ).scalar_one()
            for table in Base.metadata.sorted_tables
        }


def test_there_is_one_head():
    assert len(ScriptDirectory(str(schema.MIGRATIONS)).get_heads()) == 1


def test_sqlite_ddl_equals_the_models(migrated_file, tmp_path):
    modelled = sa.create_engine(f"sqlite:///{tmp_path / 'modelled.db'}")
    Base.metadata.create_all(modelled)
    migrated = sa.create_engine(f"sqlite:///{migrated_file}")

    assert ddl(migrated) == ddl(modelled)

    modelled.dispose()
    migrated.dispose()


def test_every_sqlite_table_is_strict(migrated_file):
    engine = sa.create_engine(f"sqlite:///{migrated_file}")
    with engine.connect() as connection:
        tables = connection.exec_driver_sql("PRAGMA table_list").mappings().all()
    engine.dispose()

    loose = {
        row["name"]
        for row in tables
        if not row["strict"] and not row["name"].startswith(("sqlite_", "alembic_"))
    }
    assert not loose


def differs(context, _column, _meta_column, found, wanted):
    return found.compile(context.dialect) != wanted.compile(context.dialect)


@pytest.mark.postgres
def test_postgres_schema_equals_the_models(postgres_store):
    with postgres_store.engine.connect() as connection:
        context = MigrationContext.configure(
            connection, opts={"compare_type": differs, "compare_server_default": True}
        )
        assert compare_metadata(context, Base.metadata) == []


@pytest.mark.postgres
def test_postgres_checks_equal_the_models(postgres_store):
    wanted = {
        constraint.name
        for table in Base.metadata.sorted_tables
        for constraint in table.constraints
        if isinstance(constraint, sa.CheckConstraint)
    }
    query = "SELECT conname FROM pg_constraint WHERE contype = 'c'"
    with postgres_store.engine.connect() as connection:
        found = set(connection.exec_driver_sql(query).scalars())

    assert wanted <= found


def test_no_foreign_key_cascades():
    for table in Base.metadata.sorted_tables:
        for key in table.foreign_keys:
            assert key.ondelete is None, f"{table.name}.{key.parent.name}"


def test_each_step_goes_down_and_up_again(tmp_path):
    url = f"sqlite:///{tmp_path / 'steps.db'}"
    for step in revisions():
        schema.upgrade(url, to=step)
        schema.downgrade(url, to="-1")
        schema.upgrade(url, to=step)
    store = Store(url)

    schema.require_current(store)

    store.close()


def test_records_survive_the_last_steps(migrated_file, tmp_path):
    path = tmp_path / "kept.db"
    shutil.copy(migrated_file, path)
    store = Store(f"sqlite:///{path}")
    with store.write_session() as session:
        standing = a_support(session)
        some_readings(session, standing, "settlement", {date(2020, 1, 1): 1.0})
    before = table_counts(store)
    store.close()

    for step in reversed(revisions()[:-1]):
        schema.downgrade(store.url, to=step)
    schema.upgrade(store.url)

    store = Store(f"sqlite:///{path}")
    assert table_counts(store) == before
    store.close()


def test_dues_and_events_of_the_first_revision_are_carried_on(tmp_path):
    url = f"sqlite:///{tmp_path / 'old.db'}"
    schema.upgrade(url, to="0001")
    at, key = "2026-06-01T03:00:00.000000+00:00", "01890000-0000-7000-8000-000000000001"
    reasons = (
        '[["duty-interval","2027-03-14","Due on 14 March 2027: ..."],'
        '["seriously-late","2028-04-13","Seriously late from 13 April 2028: ..."]]'
    )
    engine = sa.create_engine(url)
    with engine.begin() as connection:  # foreign keys are off by default
        for statement in (
            f"INSERT INTO party VALUES ('{key}', 'City', '', '{at}')",
            f"INSERT INTO site (id, code, name, owner_id, timezone, soil, access_note, "
            f"quiet_seasons, recorded_at) VALUES ('{key}', 'V-1', '', '{key}', 'UTC', "
            f"'', '', '', '{at}')",
            f"INSERT INTO tree VALUES ('{key}', '{key}', 'T1', '', 1, NULL, NULL, '', "
            f"'{at}')",
            f"INSERT INTO support VALUES ('{key}', '{key}', 'S-1', '', '', 'frequent', "
            f"'significant', '2010-05-14', NULL, NULL, NULL, '', '', '{at}')",
            f"INSERT INTO due VALUES ('{key}', 'routine', '2027-02-12', '2027-03-14', "
            f"'2027-04-13', 'duty-interval', 'Due.', '{reasons}', '{at}')",
            f"INSERT INTO event VALUES ('{key}', 'storm', 'Storm', '2026-01-03', '', "
            f"NULL, NULL, NULL, '', '{at}')",
        ):
            connection.exec_driver_sql(statement)

    schema.upgrade(url)

    with engine.connect() as connection:
        due = connection.exec_driver_sql("SELECT serious_on, reasons FROM due").one()
        gone = connection.exec_driver_sql("SELECT withdrawn FROM event").scalar_one()
    engine.dispose()
    assert due.serious_on == "2028-04-13"
    assert "seriously-late" not in due.reasons
    assert gone == 0


def test_an_upgrade_that_would_lose_a_parent_leaves_the_old_database(tmp_path):
    url = f"sqlite:///{tmp_path / 'orphan.db'}"
    schema.upgrade(url, to="0001")
    at, key = "2026-06-01T03:00:00.000000+00:00", "01890000-0000-7000-8000-000000000001"
    engine = sa.create_engine(url)
    with engine.begin() as connection:  # foreign keys are off by default
        connection.exec_driver_sql(
            f"INSERT INTO tree VALUES ('{key}', '{key}', 'T1', '', 1, NULL, NULL, '', "
            f"'{at}')"
        )
    before = ddl(engine)

    with pytest.raises(RuntimeError, match="without their parent"):
        schema.upgrade(url)

    assert ddl(engine) == before
    store = Store(url)
    assert schema.current_revision(store) == "0001"
    store.close()
    engine.dispose()


def test_a_database_never_set_up_is_refused_in_words(tmp_path):
    store = Store(f"sqlite:///{tmp_path / 'empty.db'}")

    with pytest.raises(SchemaOutOfDate, match="underprop setup"):
        schema.require_current(store)

    store.close()


def test_setting_up_twice_changes_nothing(migrated_file, tmp_path):
    path = tmp_path / "twice.db"
    shutil.copy(migrated_file, path)
    engine = sa.create_engine(f"sqlite:///{path}")
    before = ddl(engine)

    schema.upgrade(f"sqlite:///{path}")

    assert ddl(engine) == before
    engine.dispose()


def test_setting_up_twice_reads_no_kept_row_and_leaves_the_guards(
    migrated_file, tmp_path
):
    path = tmp_path / "twice.db"
    shutil.copy(migrated_file, path)
    heard: list[str] = []

    def hear(_connection, _cursor, statement, *_) -> None:
        heard.append(statement)

    sa.event.listen(sa.Engine, "before_cursor_execute", hear)
    try:
        schema.upgrade(f"sqlite:///{path}")
    finally:
        sa.event.remove(sa.Engine, "before_cursor_execute", hear)

    assert any("alembic_version" in statement for statement in heard)
    assert not [s for s in heard if "TRIGGER" in s or "SELECT *" in s]
