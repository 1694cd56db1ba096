"""An empty book, a newcomer at the keyboard, and the first recorded support."""

import shutil
import time

import pytest
from playwright.sync_api import expect

from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.store import Store
from tests.browser.conftest import served, sign_in
from tests.conftest import NOON
from tests.dashboard.conftest import NAME, PASSWORD
from tests.quick_hash import quicken

pytestmark = pytest.mark.browser

FIVE_MINUTES_S = 300.0


@pytest.fixture
def empty_home(migrated_file, tmp_path, monkeypatch):
    path = tmp_path / "empty.db"
    shutil.copy(migrated_file, path)
    store = Store(f"sqlite:///{path}")
    quicken(monkeypatch)
    with store.write_session() as session:
        new = NewAccount(NAME, "", Role.INSPECTOR, PASSWORD)
        access.add_account(session, new, actor="test", now=NOON)
    store.close()
    folder = tmp_path / "served"
    folder.mkdir()
    with served(path, folder) as address:
        yield address


def test_from_an_empty_book_to_the_first_baseline(desk, empty_home):
    start = time.monotonic()
    heard = sign_in(desk, empty_home)
    expect(desk.get_by_text("No support is recorded yet.")).to_be_visible()

    desk.get_by_role("link", name="Enter the first support").click()
    for label, text in (
        ("Owner", "City of Velmarsh"),
        ("Site code", "V-1"),
        ("Site name", "Chapel Row"),
        ("Species", "Platanus × hispanica"),
        ("Code on the tag", "S-0001"),
        ("Why it is there", "long low limb"),
        ("What is beneath", "path"),
        ("Installed on", "14 May 2021"),
        ("Outside width or diameter", "4 in"),
        ("Wall as ordered", "1/4 in"),
        ("Length", "9 ft 6 in"),
    ):
        desk.get_by_label(label, exact=True).press_sequentially(text, delay=25)
    desk.get_by_role("group", name="Section").get_by_text("square hollow").click()
    desk.get_by_role("button", name="Register it").click()

    expect(desk.get_by_text("S-0001 is in the register.")).to_be_visible()
    expect(desk.get_by_role("heading", name="As-built review of P1")).to_be_visible()
    desk.get_by_role("link", name="Take the first baseline").click()
    expect(desk.get_by_label("baseline")).to_be_checked()
    desk.get_by_role("textbox", name="Settlement", exact=True).fill("0 mm")
    desk.get_by_role("button", name="Record this inspection").click()

    expect(desk.get_by_text("Recorded: S-0001, 1 June 2026.")).to_be_visible()
    desk.get_by_role("link", name="See what it says of S-0001").click()
    expect(desk.get_by_text("9 ft 6 in")).to_be_visible()
    assert time.monotonic() - start < FIVE_MINUTES_S
    assert heard.complaints == []


def test_what_is_missing_is_said_and_nothing_is_written(desk, empty_home):
    sign_in(desk, empty_home)
    desk.goto(f"{empty_home}/new")

    desk.get_by_role("button", name="Register it").click()
    expect(desk.get_by_text("Say on which day it was installed")).to_be_visible()

    desk.goto(f"{empty_home}/register")
    expect(desk.get_by_role("heading", level=1)).to_have_text(
        "No support is recorded yet."
    )
