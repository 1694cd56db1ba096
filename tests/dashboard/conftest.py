"""A served world: an application over a small record, and browser-like clients."""

import shutil

import pytest
from flask.testing import FlaskClient

from dashboard.access import cookie_name
from dashboard.app import create_app
from dashboard.context import AppContext
from monitor.clock import FixedClock
from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.settings import Settings
from monitor.store import Store
from tests.conftest import NOON
from tests.dashboard.world import build_world
from tests.quick_hash import quicken

NAME, PASSWORD = "Ines", "oak beam and rope"
OWN = {"Sec-Fetch-Site": "same-origin"}


@pytest.fixture(scope="session")
def world_file(migrated_file, tmp_path_factory):
    path = tmp_path_factory.mktemp("world") / "underprop.db"
    shutil.copy(migrated_file, path)
    store = Store(f"sqlite:///{path}")
    with pytest.MonkeyPatch.context() as patch, store.write_session() as session:
        quicken(patch)
        build_world(session)
        for name, role in ((NAME, Role.INSPECTOR), ("Mira", Role.AUDITOR)):
            new = NewAccount(name, "", role, PASSWORD)
            access.add_account(session, new, actor="test", now=NOON)
    store.close()
    return path


@pytest.fixture
def context(world_file, clock, tmp_path):
    """A record that the test may change."""
    path = tmp_path / "world.db"
    shutil.copy(world_file, path)
    store = Store(f"sqlite:///{path}")
    yield AppContext(Settings(data_folder=tmp_path), store, clock)
    store.close()


@pytest.fixture(scope="session")
def reader(world_file, tmp_path_factory):
    """A signed-in browser of a test that changes nothing."""
    folder = tmp_path_factory.mktemp("read")
    shutil.copy(world_file, folder / "world.db")
    store = Store(f"sqlite:///{folder / 'world.db'}")
    context = AppContext(Settings(data_folder=folder), store, FixedClock(NOON))
    yield signed_in_client(create_app(context), context, NAME)
    store.close()


@pytest.fixture
def app(context):
    return create_app(context)


@pytest.fixture
def stranger(app) -> FlaskClient:
    return app.server.test_client()


@pytest.fixture
def client(app, context) -> FlaskClient:
    return signed_in_client(app, context, NAME)


@pytest.fixture
def auditor(app, context) -> FlaskClient:
    return signed_in_client(app, context, "Mira")


def signed_in_client(app, context, name: str) -> FlaskClient:
    """A browser that signed in before, without the slow check of its password."""
    with context.store.write_session() as session:
        account = access.account_named(session, name)
        token = access.start_sign_in(session, account, context.clock.now())
    client = app.server.test_client()
    client.set_cookie(cookie_name(context), token)
    return client


def sign_in(client: FlaskClient, *, name: str = NAME, password: str = PASSWORD):
    form = {"name": name, "password": password}
    return client.post("/sign-in", data=form, headers=OWN)
