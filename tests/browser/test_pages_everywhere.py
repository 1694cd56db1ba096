"""Every page at four widths, in light and dark: nothing cut, laid over or unnamed.

The checks are our own, after WCAG 2.2: names of controls, contrast of text 4.5 to 1,
one main and one first heading, no heading level left out, targets of 44 px.
"""

from pathlib import Path

import pytest

from tests.browser.conftest import NAME, sign_in

pytestmark = pytest.mark.browser

CHECKS = (Path(__file__).parent / "page_checks.js").read_text(encoding="utf-8")
WIDTHS = (320, 768, 1440, 2560)
PAGES = (
    "/", "/register", "/register?q=zzz", "/new", "/supports/S-0101",
    "/supports/S-0102", "/supports/S-0104", "/supports/S-0106", "/record/S-0101",
    "/due", "/nowhere",
)  # fmt: skip


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_is_cut_laid_over_or_unnamed(chromium, home, scheme):
    wrong, heard = everywhere(chromium, home, PAGES, (NAME, scheme))

    assert not wrong, "\n".join(wrong)
    assert heard.complaints == []
    assert heard.elsewhere == []


def test_the_keyboard_alone_leads_from_the_register_to_a_recorded_look(desk, own_home):
    sign_in(desk, own_home)
    desk.goto(f"{own_home}/register")
    desk.locator("table.register tbody tr").first.wait_for()

    desk.get_by_label("Search").focus()
    desk.keyboard.type("S-0101")
    desk.get_by_text("One support fits.").wait_for()
    _tab_to(desk, "S-0101")
    desk.keyboard.press("Enter")
    desk.get_by_text("S-0101 must be made safe.").wait_for()
    _tab_to(desk, "Record an inspection")
    desk.keyboard.press("Enter")
    desk.get_by_label("Settlement", exact=True).wait_for()
    for _ in range(80):
        desk.keyboard.press("Tab")
        if desk.evaluate("(document.activeElement.labels?.[0] || {}).textContent") == (
            "Settlement"
        ):
            break
    desk.keyboard.type("3/8 in")
    _tab_to(desk, "Record this inspection")
    desk.keyboard.press("Enter")

    desk.get_by_text("Recorded: S-0101, 1 June 2026.").wait_for()


TYPED = """async (line) => {
  const type = (letter) => document.execCommand("insertText", false, letter);
  const drawn = async () => { for (let n = 0; n < 20; n++) await null; };
  line.focus();
  type("3");
  await drawn();
  const last = new Promise((done) => setTimeout(() => done(type("8")), 0));
  type("/");
  await drawn();
  await last;
  return line.value;
}"""


def test_letters_keep_their_order_however_fast_they_come(desk, home):
    sign_in(desk, home)
    desk.goto(f"{home}/record/S-0101")

    typed = desk.get_by_label("Settlement", exact=True).evaluate(TYPED)

    assert typed == "3/8"


def everywhere(chromium, home, paths, seen_by):
    """Open pages at every width, as somebody in a scheme of colours.

    Returns
    -------
    (wrong, heard) : what is wrong in sentences, and what the browser said
    """
    name, scheme = seen_by
    context = chromium.new_context(color_scheme=scheme)
    page = context.new_page()
    heard = sign_in(page, home, name=name)
    wrong = []

    for path in paths:
        page.set_viewport_size({"width": WIDTHS[-1], "height": 900})
        page.goto(f"{home}{path}")
        page.locator("main h1").first.wait_for()
        page.wait_for_load_state("networkidle")
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            wrong += [f"{path} at {width}: {what}" for what in settled(page)]

    context.close()
    return wrong, heard


def settled(page) -> list[str]:
    """Return what is wrong once figures had up to five seconds to follow the window."""
    for _ in range(20):
        page.wait_for_timeout(250)
        if not (found := page.evaluate(CHECKS)):
            break
    return found


def _tab_to(page, words: str) -> None:
    """Press Tab until what has the focus says these words, and shows that it has it."""
    for _ in range(80):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent") == words:
            outline = page.evaluate(
                "getComputedStyle(document.activeElement).outlineStyle"
            )
            assert outline != "none"
            return
    raise AssertionError(f"Tab does not reach “{words}”.")
