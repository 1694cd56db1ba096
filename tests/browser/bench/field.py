"""Print how the form at the tree does in Chromium, each figure beside its goal.

`ops/bench field`: opening with nothing kept, weight, taps, a round of 500 supports,
contrast, targets and 200 % text. Photographs are not weighed.
"""

import logging
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, Page, expect, sync_playwright

from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.store import Store
from monitor.store.schema import upgrade
from tests.browser.conftest import CHROMIUM, NAME, PASSWORD, PHONE, served
from tests.browser.field_phone import (
    a_routine_post,
    come_in,
    enter_a_routine_post,
    open_form,
    with_store,
)
from tests.build import a_support
from tests.conftest import NOON
from tests.dashboard.world import build_world

OPENINGS, SUPPORTS, AAA = 7, 500, 7.0
MEASURES = Path(__file__).parents[1] / "field_measures.js"


def main() -> None:
    """Serve a small record, go through it with a phone, print a line a figure."""
    logging.getLogger("waitress").setLevel(logging.ERROR)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with served(made_world(folder), folder) as home, browser() as chromium:
            a_routine_post(folder)
            with_store(folder, many_supports)
            opening(chromium, home)
            taps(chromium, home)
            round_of_many(chromium, home)
            for width, scheme in ((320, "light"), (390, "light"), (390, "dark")):
                looks(chromium, home, width, scheme)


@contextmanager
def browser() -> Iterator[Browser]:
    """A Chromium without a window."""
    with sync_playwright() as playwright:
        yield playwright.chromium.launch(
            executable_path=str(CHROMIUM), args=["--no-sandbox", "--disable-gpu"]
        )


def made_world(folder: Path) -> Path:
    """The small record of the tests, with one inspector."""
    path = folder / "world.db"
    upgrade(f"sqlite:///{path}")
    store = Store(f"sqlite:///{path}")
    with store.write_session() as session:
        build_world(session)
        new = NewAccount(NAME, "", Role.INSPECTOR, PASSWORD)
        access.add_account(session, new, actor="test", now=NOON)
    store.close()
    return path


def many_supports(session) -> None:
    for n in range(SUPPORTS):
        a_support(session, f"R-{n:04}", mark="face")


@contextmanager
def a_phone(chromium: Browser, home: str, **more) -> Iterator[Page]:
    context = chromium.new_context(viewport=PHONE | more.pop("size", {}), **more)
    page = context.new_page()
    come_in(page, home)
    yield page
    context.close()


def opening(chromium: Browser, home: str) -> None:
    """Nothing kept: no cache, no round, no worker; only the sign-in."""
    times, weights = [], []
    with a_phone(chromium, home) as page:
        cookies = page.context.cookies()
    for _ in range(OPENINGS):
        context = chromium.new_context(viewport=PHONE, service_workers="block")
        context.add_cookies(cookies)
        page = context.new_page()
        wire, brought = context.new_cdp_session(page), []
        wire.send("Network.enable")
        wire.on(
            "Network.loadingFinished",
            lambda event, into=brought: into.append(event["encodedDataLength"]),
        )
        began = time.perf_counter()
        page.goto(f"{home}/field/#/S-0500")
        page.get_by_role("button", name="Done here").wait_for()
        times.append(time.perf_counter() - began)
        weights.append(sum(brought) / 1000)
        context.close()
    say("form opened with nothing kept, median", f"{statistics.median(times):.2f} s",
        "at most 1 s")  # fmt: skip
    say("the same, fastest and slowest", f"{min(times):.2f} and {max(times):.2f} s", "")
    say("weight of the form with one support", f"{max(weights):.0f} kB", "at most 250")


def taps(chromium: Browser, home: str) -> None:
    with a_phone(chromium, home) as page:
        count = enter_a_routine_post(page)
        expect(page.get_by_text("Recorded: S-0500")).to_be_visible()
    say("taps besides numbers: 8 readings, 2 photographs, 1 finding", str(count),
        "at most 40")  # fmt: skip


def round_of_many(chromium: Browser, home: str) -> None:
    with a_phone(chromium, home) as page:
        codes = " ".join(f"R-{n:04}" for n in range(SUPPORTS))
        page.get_by_label("Or these codes only").fill(codes)
        began = time.perf_counter()
        page.get_by_role("button", name="Store this round").click()
        page.get_by_text(f"{SUPPORTS} supports stored.").wait_for(timeout=120_000)
        took = time.perf_counter() - began
        used = page.evaluate("navigator.storage.estimate().then((e) => e.usage)")
    say(f"{SUPPORTS} supports stored for a round", f"{took:.1f} s", "all of them")
    say("room they take on the phone", f"{used / 1e6:.1f} MB", "")


def looks(chromium: Browser, home: str, width: int, scheme: str) -> None:
    size, name = {"width": width}, f"{width} px, {scheme}"
    with a_phone(chromium, home, size=size, color_scheme=scheme) as page:
        open_form(page, home, "S-0500")
        page.get_by_role("button", name="Something is wrong here").click()
        found = page.evaluate(MEASURES.read_text(), AAA)
    say(f"{name}: targets below 44 px", str(len(found["small"])), "0")
    say(f"{name}: readings below AAA (7 : 1)", str(len(found["pale"])), "0")
    say(f"{name}: parts beyond the edge at 200 % text", str(len(found["wide"])), "0")


def say(what: str, found: str, goal: str) -> None:
    line = f"{what:<62}{found:>18}   {f'goal: {goal}' if goal else ''}"
    sys.stdout.write(line.rstrip() + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
