"""Filled databases of every earlier revision come up whole, or stay as they are."""

import lzma
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
import sqlalchemy as sa

from monitor.errors import SchemaOutOfDate
from monitor.services.keeping.upgrading import bring_up
from monitor.services.keeping.verify import Asked, verify
from monitor.store import Store, ledger, schema
from monitor.store.models import guards

FIXTURES = sorted((Path(__file__).parent / "fixtures").glob("*.sql.xz"))
REVISIONS = [path.name[:4] for path in FIXTURES]
NOW = datetime(2026, 7, 1, tzinfo=UTC)


def dump_of(revision):
    path = next(path for path in FIXTURES if path.name.startswith(revision))
    return lzma.decompress(path.read_bytes()).decode()


def old_file(revision, path):
    bare = sqlite3.connect(path)
    bare.executescript(dump_of(revision))
    bare.close()
    return path


def counts_of(connection):
    tables = [t for t in sa.inspect(connection).get_table_names() if t[0] != "_"]
    return {
        table: connection.exec_driver_sql(f'SELECT count(*) FROM "{table}"').scalar()
        for table in tables
        if table not in ("ledger", "ledger_node", "alembic_version")
    }


def check_upgraded(store, before, old_entries):
    with store.engine.connect() as connection:
        after = counts_of(connection)
        left = [t for t in sa.inspect(connection).get_table_names() if "_tmp_" in t]
    with store.read_session() as session:
        found = verify(Asked(session, outlooks=0))
        new = list(ledger.entries(session, after=old_entries))
    assert {name: after[name] for name in before} == before
    assert left == []
    assert found.broken == ()
    assert found.rows > 400
    return new


@pytest.mark.parametrize("revision", REVISIONS)
def test_a_filled_sqlite_database_comes_up_to_date(revision, tmp_path):
    path = old_file(revision, tmp_path / "old.db")
    store = Store(f"sqlite:///{path}")
    with store.engine.connect() as connection:
        before = counts_of(connection)
        (size,) = connection.exec_driver_sql("SELECT count(*) FROM ledger").one()

    assert bring_up(store.url, actor="setup", now=NOW) == revision

    new = check_upgraded(store, before, size)
    anchored = {entry.change.action for entry in new}
    assert anchored == ({"rows anchored"} if revision < "0006" else set())
    store.close()


@pytest.mark.postgres
@pytest.mark.parametrize("revision", REVISIONS)
def test_a_filled_postgres_database_comes_up_to_date(revision, postgres_url, tmp_path):
    url = _fresh_database(postgres_url, f"old_{revision}")
    schema.upgrade(url, to=revision)
    store = Store(url)
    _load(store, old_file(revision, tmp_path / "old.db"))
    with store.engine.connect() as connection:
        before = counts_of(connection)
        (size,) = connection.exec_driver_sql("SELECT count(*) FROM ledger").one()

    bring_up(url, actor="setup", now=NOW)

    check_upgraded(store, before, size)
    store.close()


def _fresh_database(url, name):
    admin = sa.create_engine(url, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.exec_driver_sql(f"DROP DATABASE IF EXISTS {name}")
        connection.exec_driver_sql(f"CREATE DATABASE {name}")
    admin.dispose()
    return sa.make_url(url).set(database=name).render_as_string(hide_password=False)


def _load(store, path):
    """The rows of the SQLite file, as this engine keeps them."""
    bare = sqlite3.connect(path)
    with store.engine.begin() as connection:
        connection.exec_driver_sql("SET LOCAL session_replication_role = replica")
        inspector = sa.inspect(connection)
        for table in inspector.get_table_names():
            if table == "alembic_version":
                continue
            columns = inspector.get_columns(table)
            flags = [isinstance(c["type"], sa.Boolean) for c in columns]
            names = ", ".join(f'"{c["name"]}"' for c in columns)
            rows = bare.execute(f'SELECT {names} FROM "{table}"').fetchall()
            places = ", ".join(["%s"] * len(columns))
            made = [
                tuple(
                    bool(v) if is_flag and v is not None else v
                    for v, is_flag in zip(row, flags, strict=True)
                )
                for row in rows
            ]
            if made:
                connection.exec_driver_sql(
                    f'INSERT INTO "{table}" ({names}) VALUES ({places})', made
                )
    bare.close()


def test_what_was_changed_before_the_upgrade_is_not_washed_clean_by_it(tmp_path):
    """From the revision on that vouches for rows."""
    path = old_file("0006", tmp_path / "old.db")
    bare = sqlite3.connect(path)
    bare.execute("DROP TRIGGER reading_no_update")
    bare.execute("UPDATE reading SET value = value + 1 WHERE quantity = 'tilt_x'")
    bare.commit()
    bare.close()
    store = Store(f"sqlite:///{path}")

    bring_up(store.url, actor="setup", now=NOW)

    with store.read_session() as session:
        assert verify(Asked(session, outlooks=0)).broken[0].what == "row"
    store.close()


def test_a_migration_that_changes_what_it_does_not_declare_is_undone(
    tmp_path, monkeypatch
):
    path = old_file("0004", tmp_path / "old.db")
    url = f"sqlite:///{path}"
    take_off = guards.take_off

    def careless(connection):
        take_off(connection)
        monkeypatch.setattr(guards, "take_off", take_off)
        monkeypatch.setattr(
            "alembic.runtime.environment.EnvironmentContext.run_migrations",
            lambda _self: connection.exec_driver_sql("UPDATE work SET note = 'x'"),
        )

    monkeypatch.setattr(guards, "take_off", careless)
    with pytest.raises(RuntimeError, match=r"work\.note"):
        schema.upgrade(url)

    bare = sqlite3.connect(path)
    (changed,) = bare.execute("SELECT count(*) FROM work WHERE note = 'x'").fetchone()
    bare.close()
    assert changed == 0


def test_a_failed_upgrade_leaves_the_old_and_the_second_attempt_succeeds(
    tmp_path, monkeypatch
):
    path = old_file("0003", tmp_path / "old.db")
    url = f"sqlite:///{path}"
    before = list(sqlite3.connect(path).iterdump())

    def fail(*_args):
        raise RuntimeError("no more room")

    with monkeypatch.context() as patch:
        patch.setattr(guards, "put_on", fail)
        with pytest.raises(RuntimeError, match="no more room"):
            schema.upgrade(url)
    assert list(sqlite3.connect(path).iterdump()) == before
    store = Store(url)
    with pytest.raises(SchemaOutOfDate, match="underprop setup"):
        schema.require_current(store)

    bring_up(url, actor="setup", now=NOW)

    schema.require_current(store)
    store.close()


KILLED_AT = {
    "the guards": "from monitor.store.models import guards as at; name = 'put_on'",
    "vouching": "from monitor.services.keeping import upgrading as at; name = 'anchor'",
}


def killed_at(point, url):
    """Upgrade in a process that dies by kill -9 when it comes to a point."""
    script = (
        "import os, sys\n"
        "from datetime import UTC, datetime\n"
        "from monitor.services.keeping.upgrading import bring_up\n"
        f"{KILLED_AT[point]}\n"
        "setattr(at, name, lambda *_, **__: os.kill(os.getpid(), 9))\n"
        "bring_up(sys.argv[1], actor='setup', now=datetime(2026, 7, 1, tzinfo=UTC))\n"
    )
    ended = subprocess.run([sys.executable, "-c", script, url], check=False)
    assert ended.returncode == -9


@pytest.mark.parametrize("point", KILLED_AT)
def test_a_process_killed_late_in_an_upgrade_leaves_the_old(point, tmp_path):
    path = old_file("0003", tmp_path / "old.db")
    with closing(sqlite3.connect(path)) as bare:
        before = list(bare.iterdump())

    killed_at(point, f"sqlite:///{path}")

    with closing(sqlite3.connect(path)) as bare:
        assert list(bare.iterdump()) == before
    store = Store(f"sqlite:///{path}")
    bring_up(store.url, actor="setup", now=NOW)
    schema.require_current(store)
    store.close()


@pytest.mark.postgres
@pytest.mark.parametrize("point", KILLED_AT)
def test_a_process_killed_late_in_an_upgrade_leaves_the_old_on_postgres(
    point, postgres_url, tmp_path
):
    url = _fresh_database(postgres_url, "killed")
    schema.upgrade(url, to="0003")
    store = Store(url)
    _load(store, old_file("0003", tmp_path / "old.db"))
    with store.engine.connect() as connection:
        before = counts_of(connection)
        (size,) = connection.exec_driver_sql("SELECT count(*) FROM ledger").one()

    killed_at(point, url)

    assert schema.current_revision(store) == "0003"
    with store.engine.connect() as connection:
        assert counts_of(connection) == before
    bring_up(url, actor="setup", now=NOW)
    check_upgraded(store, before, size)
    store.close()


def test_a_database_of_a_newer_program_is_refused_in_words(migrated_file, tmp_path):
    path = tmp_path / "newer.db"
    path.write_bytes(migrated_file.read_bytes())
    bare = sqlite3.connect(path)
    bare.execute("UPDATE alembic_version SET version_num = '9999'")
    bare.commit()
    bare.close()
    store = Store(f"sqlite:///{path}")

    for refuse in (
        lambda: schema.require_current(store),
        lambda: bring_up(store.url, actor="setup", now=NOW),
    ):
        with pytest.raises(SchemaOutOfDate, match="newer program"):
            refuse()

    store.close()
