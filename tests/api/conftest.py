"""The served world, asked by programs with tokens."""

import shutil
from threading import Thread

import pytest
from werkzeug.serving import make_server

from dashboard.app import create_app
from dashboard.context import AppContext
from monitor.clock import FixedClock
from monitor.domain.people import KeyKind, KeyScope
from monitor.services import access
from monitor.services.entry.keys import Wish, make_key
from monitor.settings import Settings
from monitor.store import Store
from tests.conftest import NOON
from tests.dashboard.conftest import NAME, context, world_file

__all__ = ["context", "world_file"]


class Program:
    """A client that shows a token and speaks JSON."""

    def __init__(self, server, token: str) -> None:
        self.client = server.test_client()
        self.head = {"Authorization": f"Bearer {token}"}

    def get(self, path, **more):
        headers = self.head | more.pop("headers", {})
        return self.client.get(f"/api/v1{path}", headers=headers, **more)

    def post(self, path, **more):
        headers = self.head | more.pop("headers", {})
        return self.client.post(f"/api/v1{path}", headers=headers, **more)


def token_of(context, name: str, scope: KeyScope) -> str:
    with context.store.write_session() as session:
        account = access.account_named(session, name)
        wish = Wish(KeyKind.TOKEN, "test", scope)
        return make_key(session, account, wish, by=(name, NOON))[1]


@pytest.fixture(scope="session")
def shared(world_file, tmp_path_factory):
    """One served record for all tests that change nothing of each other's."""
    folder = tmp_path_factory.mktemp("api")
    shutil.copy(world_file, folder / "world.db")
    store = Store(f"sqlite:///{folder / 'world.db'}")
    yield AppContext(Settings(data_folder=folder), store, FixedClock(NOON))
    store.close()


@pytest.fixture(scope="session")
def server(shared):
    return create_app(shared).server


@pytest.fixture(scope="session")
def program(server, shared):
    return Program(server, token_of(shared, NAME, KeyScope.RECORD))


@pytest.fixture(scope="session")
def reads_only(server, shared):
    return Program(server, token_of(shared, NAME, KeyScope.READ))


@pytest.fixture
def fresh(context):
    """A program over a record of its own."""
    server = create_app(context).server
    return Program(server, token_of(context, NAME, KeyScope.RECORD))


@pytest.fixture
def address(server):
    served = make_server("127.0.0.1", 0, server, threaded=True)
    thread = Thread(target=served.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{served.server_port}"
    served.shutdown()
    thread.join()
    served.server_close()
