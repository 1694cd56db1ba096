"""What a test does with the form on a phone, and what the record holds afterwards."""

import struct
import zlib
from datetime import date

from playwright.sync_api import Page, expect

from monitor.store import Store, records
from tests.browser.conftest import NAME, PASSWORD
from tests.build import a_support, some_readings
from tests.conftest import NOON


def come_in(page: Page, home: str, *, at: str = "/field/") -> None:
    """Through the door to the form, with a phone whose clock is right."""
    page.context.clock.set_fixed_time(NOON)
    page.goto(f"{home}/sign-in?next={at}")
    page.get_by_label("Name").fill(NAME)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", level=1).wait_for()


def take_round(page: Page, home: str) -> None:
    """Everything in service on the phone, and the form kept for no network."""
    come_in(page, home)
    page.get_by_label("Owed").select_option("")
    page.get_by_label("Or these codes only").fill("S-0101 S-0102 S-0103 S-0104 S-0106")
    page.get_by_role("button", name="Store this round").click()
    expect(page.get_by_text("5 supports stored.")).to_be_visible()
    assert page.evaluate(
        """Promise.race([
          navigator.serviceWorker.ready.then(() => true),
          new Promise((go) => setTimeout(() => go(false), 15000)),
        ])"""
    )


def open_form(page: Page, home: str, code: str = "S-0101") -> None:
    page.goto(f"{home}/field/#/{code}")
    page.get_by_role("button", name="Done here").wait_for()


def done(page: Page) -> None:
    """Twice if something is left open."""
    page.locator("#done").click()
    again = page.get_by_role("button", name="Done all the same")
    if again.is_visible():
        again.click()
    page.get_by_role("heading", level=2, name="Received by the office").wait_for()


def saved(page: Page) -> None:
    """Wait until the last keystroke is in the phone's database."""
    expect(page.locator("#saved")).to_contain_text("Saved")
    page.wait_for_timeout(150)


def recorded(folder) -> list:
    """Inspections that came from the form, with their readings and photographs."""
    store = Store(f"sqlite:///{folder / 'underprop.db'}")
    with store.read_session() as session:
        source = records.INSPECTIONS.table.c.source
        made = records.INSPECTIONS.all(session, source == "field form")
        readings = records.READINGS.all(session)
        photos = records.PHOTOS.all(session)
    store.close()
    return [
        (
            one,
            [r for r in readings if r.inspection_id == one.id],
            [p for p in photos if p.inspection_id == one.id],
        )
        for one in made
    ]


def a_picture(shade: int, *, size: int = 8) -> bytes:
    """A small grey PNG, ISO/IEC 15948."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        whole = kind + body
        return (
            struct.pack(">I", len(body)) + whole + struct.pack(">I", zlib.crc32(whole))
        )

    rows = (b"\0" + bytes([shade]) * size) * size
    head = struct.pack(">IIBBBBB", size, size, 8, 0, 0, 0, 0)
    parts = (
        chunk(b"IHDR", head),
        chunk(b"IDAT", zlib.compress(rows)),
        chunk(b"IEND", b""),
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def a_routine_post(folder) -> None:
    """S-0500: a post with eight readings at one mark."""

    def make(session):
        spot = a_support(session, "S-0500", mark="face and plate")
        names = (
            "tilt_x", "tilt_y", "settlement", "gap", "indentation", "jack_extension",
            "jack_engagement", "wall",
        )  # fmt: skip
        for year, name in enumerate(names):
            some_readings(session, spot, name, {date(2018 + year, 5, 1): 1.0})

    with_store(folder, make)


def enter_a_routine_post(page: Page) -> int:
    """Eight readings, two photographs, one finding; how many taps besides numbers."""
    taps = 0

    def tap(locator):
        nonlocal taps
        taps += 1
        locator.click()

    page.get_by_label("Code on the tag").fill("S-0500")
    tap(page.get_by_label("Code on the tag"))
    tap(page.get_by_role("button", name="Open"))
    fields = page.locator("input.number")
    expect(fields).to_have_count(8)
    for n in range(8):
        tap(fields.nth(n))
        fields.nth(n).fill("1.0")
    for n in (1, 2):  # the button, the shutter, and "use this one"
        taps += 3
        picture = {"name": "p.png", "mimeType": "image/png", "buffer": a_picture(n)}
        page.locator("#photo").set_input_files(picture)
        expect(page.locator(".photos img")).to_have_count(n)
    tap(page.get_by_role("button", name="Something is wrong here"))
    taps += 2  # open the list, choose
    page.get_by_label("What was seen").select_option("rust at grade")
    tap(page.locator("#done"))
    again = page.get_by_role("button", name="Done all the same")
    if again.is_visible():
        tap(again)
    return taps


def with_store(folder, make) -> None:
    """Change the record behind the served world."""
    store = Store(f"sqlite:///{folder / 'underprop.db'}")
    with store.write_session() as session:
        make(session)
    store.close()
