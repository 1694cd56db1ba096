"""A real server and a real Chromium."""

import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect, sync_playwright
from waitress import create_server

from dashboard.app import create_app
from dashboard.context import AppContext
from monitor.clock import FixedClock
from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.settings import Settings
from monitor.store import Store
from tests.conftest import NOON
from tests.dashboard.conftest import NAME, PASSWORD, world_file
from tests.quick_hash import quicken

expect.set_options(timeout=30_000)  # a busy machine is slow, not wrong

CHROMIUM = Path("/usr/bin/chromium")
__all__ = ["world_file"]
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1440, "height": 900}


class Heard:
    """What a page complained of and where it asked."""

    def __init__(self, page: Page, home: str) -> None:
        self.complaints: list[str] = []
        self.elsewhere: list[str] = []
        self._home = home
        page.on("console", self._console)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("request", self._request)

    def _console(self, message) -> None:
        is_drivers = "GL Driver Message" in message.text  # drawing without a card
        if message.type in {"error", "warning"} and not is_drivers:
            self.complaints.append(message.text)

    def _request(self, request) -> None:
        if not request.url.startswith((self._home, "data:", "blob:")):
            self.elsewhere.append(request.url)


@pytest.fixture(scope="session")
def chromium():
    if not CHROMIUM.exists():
        pytest.fail(f"{CHROMIUM} is missing; install Debian's package “chromium”.")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=str(CHROMIUM),
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
        )
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def home(world_file, tmp_path_factory):
    """Address of a served small world, for tests that change nothing."""
    with served(world_file, tmp_path_factory.mktemp("shared")) as address:
        yield address


@pytest.fixture(scope="session")
def whole_home(world_file, tmp_path_factory):
    """The same for one who may do everything: Otto, who looks after the accounts."""
    folder = tmp_path_factory.mktemp("whole")
    path = folder / "otto.db"
    shutil.copy(world_file, path)
    store = Store(f"sqlite:///{path}")
    with pytest.MonkeyPatch.context() as patch, store.write_session() as session:
        quicken(patch)
        otto = access.NewAccount("Otto", "", Role.ADMINISTRATOR, PASSWORD)
        access.add_account(session, otto, actor="test", now=NOON)
    store.close()
    with served(path, folder) as address:
        yield address


@pytest.fixture
def own_home(world_file, tmp_path):
    """Address of a served small world of the test's own."""
    with served(world_file, tmp_path) as address:
        yield address


@contextmanager
def served(world_file: Path, folder: Path) -> Iterator[str]:
    path = folder / "underprop.db"
    shutil.copy(world_file, path)
    store = Store(f"sqlite:///{path}")
    context = AppContext(Settings(data_folder=folder), store, FixedClock(NOON))
    server = create_server(create_app(context).server, host="127.0.0.1", port=0)
    thread = threading.Thread(target=_run, args=(server,), daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.effective_port}"
    server.close()
    thread.join(timeout=5)
    store.close()


def _run(server) -> None:
    with suppress(OSError):  # its socket is closed under it at the end
        server.run()


@pytest.fixture
def desk(chromium):
    context = chromium.new_context(viewport=DESK)
    yield context.new_page()
    context.close()


@pytest.fixture
def phone(chromium):
    context = chromium.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
    yield context.new_page()
    context.close()


def sign_in(page: Page, home: str, *, name: str = NAME) -> Heard:
    """Come in through the door."""
    heard = Heard(page, home)
    page.goto(f"{home}/")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", level=1).wait_for()
    return heard
