"""The pages as a person meets them, at desk and phone."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import sign_in

pytestmark = pytest.mark.browser

PAPER_PX = 672
"""A4 without its margins."""

PAGES = (
    "/",
    "/register",
    "/due",
    "/supports/S-0101",
    "/supports/S-0102",
    "/record/S-0101",
)


def test_a_support_is_found_in_the_register_and_opened(desk, home):
    heard = sign_in(desk, home)

    desk.get_by_role("link", name="Register").click()
    desk.get_by_label("Search").fill("make safe")
    expect(desk.get_by_text("One support fits.")).to_be_visible()
    expect(desk).to_have_url(re.compile(r"/register\?q=make"))
    desk.get_by_role("link", name="S-0101").click()

    expect(desk.get_by_role("heading", level=1)).to_have_text(
        "S-0101 must be made safe."
    )
    expect(desk).to_have_title("S-0101 · Underprop")
    expect(desk.locator(".js-plotly-plot")).to_have_count(6)
    assert heard.complaints == []
    assert heard.elsewhere == []


def test_the_back_button_brings_the_search_back(desk, home):
    sign_in(desk, home)
    desk.goto(f"{home}/register")
    desk.get_by_label("Search").fill("cable")
    expect(desk.get_by_text("One support fits.")).to_be_visible()
    desk.get_by_role("link", name="S-0103").click()
    expect(desk.get_by_role("heading", level=1)).to_have_text("S-0103 wants watching.")

    desk.go_back()

    expect(desk.get_by_label("Search")).to_have_value("cable")
    expect(desk.get_by_text("One support fits.")).to_be_visible()


def test_an_inspection_is_recorded_from_the_phone_to_the_chart(phone, own_home):
    heard = sign_in(phone, own_home)
    phone.goto(f"{own_home}/supports/S-0101")
    phone.get_by_role("link", name="Record an inspection").click()

    phone.get_by_label("Settlement", exact=True).fill("3/8 in")
    phone.get_by_role("group", name="tilt to the side: read or not").get_by_text(
        "could not reach"
    ).click()
    phone.get_by_label("Why not").nth(1).fill("nest in the way")
    phone.get_by_role("button", name="Record this inspection").click()

    expect(phone.get_by_text("Recorded: S-0101, 1 June 2026.")).to_be_visible()
    phone.get_by_role("link", name="See what it says of S-0101").click()
    phone.get_by_text("readings as typed").nth(1).click()
    expect(phone.get_by_text("3/8 in")).to_be_visible()
    expect(phone.get_by_text("nest in the way").first).to_be_attached()
    assert heard.complaints == []
    assert heard.elsewhere == []


def test_a_surprising_number_is_asked_about_and_then_taken(desk, own_home):
    sign_in(desk, own_home)
    desk.goto(f"{own_home}/record/S-0101")

    desk.get_by_label("Settlement", exact=True).fill("0.35 mm")
    desk.get_by_role("button", name="Record this inspection").click()
    expect(desk.get_by_role("heading", name="Are you sure?")).to_be_visible()
    desk.get_by_text("Yes, it is so.").click()
    desk.get_by_role("button", name="Record this inspection").click()

    expect(desk.get_by_text("Recorded: S-0101, 1 June 2026.")).to_be_visible()


@pytest.mark.parametrize("width", [320, 390])
def test_a_phone_never_scrolls_sideways(phone, home, width):
    heard = sign_in(phone, home)
    phone.set_viewport_size({"width": width, "height": 700})

    for path in PAGES:
        phone.goto(f"{home}{path}")
        phone.get_by_role("heading", level=1).wait_for()
        phone.wait_for_timeout(300)
        page_width = phone.evaluate("document.documentElement.scrollWidth")
        assert page_width <= width, path
    assert heard.complaints == []


def test_what_is_touched_on_a_phone_is_large_enough(phone, home):
    sign_in(phone, home)
    phone.goto(f"{home}/record/S-0101")
    phone.get_by_role("heading", level=1).wait_for()

    for box in phone.locator("button:visible, summary:visible, .choices label").all():
        assert box.bounding_box()["height"] >= 44


def test_the_keyboard_alone_reaches_the_page_and_its_links(desk, home):
    sign_in(desk, home)

    desk.keyboard.press("Tab")
    expect(desk.get_by_role("link", name="Skip to the page")).to_be_focused()
    desk.keyboard.press("Enter")
    desk.keyboard.press("Tab")

    expect(desk.get_by_role("link", name="S-0101").first).to_be_focused()


def test_drawings_change_their_ink_in_the_dark(desk, home):
    sign_in(desk, home)
    desk.goto(f"{home}/supports/S-0101")
    today = desk.locator(".js-plotly-plot text", has_text="2010").first
    today.wait_for()
    light = today.evaluate("e => getComputedStyle(e).fill")

    desk.emulate_media(color_scheme="dark")

    assert light == "rgb(83, 93, 86)"  # --draw-muted of the light sheet
    dark = today.evaluate("e => getComputedStyle(e).fill")
    assert dark == "rgb(167, 175, 166)"  # --draw-muted of the dark sheet


@pytest.mark.parametrize(
    "path", ["/", "/register", "/supports/S-0101", "/due", "/plan"]
)
def test_paper_holds_the_whole_page_and_nothing_to_press(desk, home, path):
    sign_in(desk, home)
    desk.goto(f"{home}{path}")
    desk.get_by_role("heading", level=1).wait_for()

    desk.set_viewport_size({"width": PAPER_PX, "height": 900})
    desk.emulate_media(media="print")

    for pressed in ("nav", "button", "input", ".foot", ".action"):
        expect(desk.locator(f"{pressed} >> visible=true")).to_have_count(0)
    assert desk.evaluate("document.documentElement.scrollWidth") <= PAPER_PX


def test_signing_out_shuts_the_door(desk, home):
    sign_in(desk, home)

    desk.get_by_role("button", name="Sign out").click()
    expect(desk).to_have_url(f"{home}/sign-in")
    desk.goto(f"{home}/register")

    expect(desk).to_have_url(f"{home}/sign-in?next=%2Fregister")
