"""The form with no signal, and through everything that can happen to a phone."""

import os
import signal
from pathlib import Path

import pytest
from playwright.sync_api import Error, expect

from tests.browser.conftest import CHROMIUM, PHONE
from tests.browser.field_phone import (
    come_in,
    done,
    open_form,
    recorded,
    saved,
    take_round,
)
from tests.browser.wire import Wire

pytestmark = pytest.mark.browser


def test_a_round_entered_without_a_network_is_sent_once_when_it_returns(
    phone, own_home, tmp_path
):
    home = own_home
    take_round(phone, home)
    phone.context.set_offline(True)

    phone.reload()
    expect(phone.get_by_role("heading", level=1)).to_contain_text("5 supports on this")
    expect(phone.get_by_text("No network.")).to_be_visible()
    phone.get_by_label("Code on the tag").fill("s-0101")
    phone.get_by_role("button", name="Open").click()
    phone.get_by_label("Settlement", exact=True).fill("9.0")
    phone.get_by_label("Note").fill("Nest in the fork.")
    saved(phone)
    phone.close()

    again = phone.context.new_page()
    again.goto(f"{home}/field/tag/S-0101")
    expect(again.get_by_label("Settlement", exact=True)).to_have_value("9.0")
    expect(again.get_by_label("Note")).to_have_value("Nest in the fork.")
    done(again)
    expect(again.get_by_role("heading", level=1)).to_have_text(
        "1 look waits on this phone."
    )
    assert recorded(tmp_path) == []

    again.context.set_offline(False)
    expect(again.get_by_text("Recorded: S-0101, 1 June 2026.")).to_be_visible()
    expect(again.get_by_role("heading", level=1)).to_have_text("The outbox is empty.")
    [(made, readings, _)] = recorded(tmp_path)
    assert [reading.given for reading in readings] == ["9.0 mm"]
    assert (made.note, made.inspector) == ("Nest in the fork.", "Ines")


def test_a_killed_browser_has_lost_nothing(chromium, own_home, tmp_path):
    home = own_home
    profile = tmp_path / "profile"
    first = opened(chromium, profile)
    page = first.pages[0]
    take_round(page, home)
    open_form(page, home)
    first.set_offline(True)
    page.get_by_label("Settlement", exact=True).press_sequentially("8.7")
    page.get_by_label("Note").press_sequentially("Half a sent")
    saved(page)
    kill(profile)
    with pytest.raises(Error):
        page.reload()

    second = opened(chromium, profile)
    second.set_offline(True)
    page = second.pages[0]
    page.goto(f"{home}/field/#/S-0101")

    expect(page.get_by_text("go on where you stopped")).to_be_visible()
    expect(page.get_by_label("Settlement", exact=True)).to_have_value("8.7")
    expect(page.get_by_label("Note")).to_have_value("Half a sent")
    second.close()


def test_an_answer_that_is_lost_on_the_way_makes_no_second_inspection(
    phone, own_home, tmp_path
):
    home = own_home
    wire = Wire(home)
    take_round(phone, wire.home)
    open_form(phone, wire.home)
    phone.get_by_label("Settlement", exact=True).fill("9.0")
    wire.swallow = b"POST /field/api/inspections"

    done(phone)
    expect(phone.get_by_role("heading", level=1)).to_have_text(
        "1 look waits on this phone."
    )
    for _ in range(100):
        if wire.swallowed:
            break
        phone.wait_for_timeout(100)
    assert wire.swallowed, wire.requests[-5:]
    assert len(recorded(tmp_path)) == 1

    wire.swallow = b""
    phone.get_by_role("button", name="Send now").click()
    expect(phone.get_by_text("Recorded: S-0101, 1 June 2026.")).to_be_visible()
    posts = [r for r in wire.requests if r.startswith(b"POST /field/api/inspections")]
    assert len(posts) >= 2
    assert len(recorded(tmp_path)) == 1
    wire.close()


def test_a_look_ended_while_another_is_being_sent_goes_right_after_it(
    phone, own_home, tmp_path
):
    take_round(phone, own_home)
    held = []

    def hold_the_first(route):
        held.append(route)
        if len(held) > 1:
            route.continue_()

    phone.route("**/field/api/inspections", hold_the_first)
    for code in ("S-0101", "S-0102"):
        open_form(phone, own_home, code)
        phone.get_by_label("Note").fill("Nest in the fork.")
        saved(phone)
        done(phone)
        expect(phone.locator(".item", has_text=code)).to_be_visible()
    for _ in range(300):
        if held:
            break
        phone.wait_for_timeout(100)
    assert len(held) == 1

    held[0].continue_()

    expect(phone.get_by_text("Recorded: S-0101")).to_be_visible()
    expect(phone.get_by_text("Recorded: S-0102")).to_be_visible()
    expect(phone.get_by_role("heading", level=1)).to_have_text("The outbox is empty.")
    assert len(recorded(tmp_path)) == 2


def test_an_agreed_round_keeps_its_order_on_the_phone(phone, own_home):
    order = ["S-0104", "S-0101", "S-0103", "S-0102"]
    come_in(phone, own_home)
    phone.goto(f"{own_home}/field/?codes={','.join(order)}")

    phone.get_by_role("button", name="Store this round").click()

    stops = phone.locator(".stops b")
    expect(stops).to_have_text(order)
    phone.goto(f"{own_home}/field/#/S-0106")  # opened by its tag: comes last
    phone.get_by_role("button", name="Done here").wait_for()
    phone.goto(f"{own_home}/field/")
    expect(stops).to_have_text([*order, "S-0106"])


def test_two_pages_of_one_phone_send_one_look_once(phone, own_home, tmp_path):
    home = own_home
    take_round(phone, home)
    phone.context.set_offline(True)
    open_form(phone, home)
    phone.get_by_label("Settlement", exact=True).fill("9.0")
    done(phone)
    other = phone.context.new_page()
    other.goto(f"{home}/field/#/out")

    phone.context.set_offline(False)

    for page in (phone, other):
        expect(page.get_by_text("Recorded: S-0101")).to_be_visible(timeout=15_000)
    assert len(recorded(tmp_path)) == 1


def test_an_ended_sign_in_pauses_the_outbox_and_keeps_it(phone, own_home, tmp_path):
    home = own_home
    take_round(phone, home)
    open_form(phone, home)
    phone.get_by_label("Settlement", exact=True).fill("9.0")
    phone.context.clear_cookies()

    done(phone)

    expect(phone.get_by_text("The sign-in has ended.")).to_be_visible()
    expect(phone.get_by_role("heading", level=1)).to_have_text(
        "1 look waits on this phone."
    )
    come_in(phone, home, at="/field/")
    phone.goto(f"{home}/field/#/out")
    expect(phone.get_by_text("Recorded: S-0101")).to_be_visible()
    assert len(recorded(tmp_path)) == 1


def opened(chromium, profile: Path):
    return chromium.browser_type.launch_persistent_context(
        profile, executable_path=str(CHROMIUM), viewport=PHONE,
        args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
    )  # fmt: skip


def kill(profile: Path) -> None:
    """End the browsers of that profile as a flat battery would."""
    for entry in Path("/proc").iterdir():
        if not entry.name.isdecimal():
            continue
        try:
            command = (entry / "cmdline").read_bytes().decode(errors="replace")
        except OSError:
            continue
        if f"--user-data-dir={profile}" in command:
            os.kill(int(entry.name), signal.SIGKILL)
