"""No page bars anybody: axe-core finds nothing on any of them, in light and dark."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from tests.browser.addresses import dash_pages
from tests.browser.conftest import sign_in

pytestmark = pytest.mark.browser

FRAMEWORK = {
    # Dash calls its radio buttons and boxes a list box of options, around the native
    # inputs with their labels, which browsers and readers know without that.
    "aria-allowed-role": ("dash-options-list-option",),
    "nested-interactive": ("dash-options-list-option",),
    "aria-input-field-name": ("dash-options-list ",),
    # Dash lays the field of its drop area, unseen, over words that say what it takes.
    "label": ("opacity: 1e-05",),
    # Dash draws the frame of its days as a button that is none.
    "aria-allowed-attr": ("dash-datepicker-input-wrapper",),
    # Dash's dropdown takes the focus of forms by a line that hands it on at once.
    "aria-hidden-focus": ("dash-dropdown-focus-target",),
}
"""Parts that the framework draws, by the rule that they break, with the reason."""

A_GROUP = 6
ADDRESSES = dash_pages()
GROUPS = [ADDRESSES[n : n + A_GROUP] for n in range(0, len(ADDRESSES), A_GROUP)]
_AXE = Axe()


@pytest.mark.parametrize("addresses", GROUPS, ids=lambda group: group[0])
def test_no_page_bars_anybody(desk, whole_home, addresses):
    sign_in(desk, whole_home, name="Otto")
    wrong = []

    for path in addresses:
        desk.emulate_media(color_scheme="light")
        desk.goto(f"{whole_home}{path}")
        desk.locator("h1").first.wait_for()
        desk.wait_for_load_state("networkidle")
        wrong += [f"{path} {what}" for what in _barriers(desk)]
        desk.emulate_media(color_scheme="dark")
        wrong += [f"{path}, dark: {what}" for what in _barriers(desk, "color-contrast")]

    assert not wrong, "\n".join(wrong)


def _barriers(page: Page, *rules: str) -> list[str]:
    """What axe-core says of the page as it is, by all rules or those named."""
    asked: dict[str, object] = {"resultTypes": ["violations"]}
    if rules:
        asked["runOnly"] = list(rules)
    found = _AXE.run(page, options=asked).response["violations"]
    return [
        f"{one['id']}: {one['help']}: {node['html'][:200]}"
        for one in found
        for node in one["nodes"]
        if not any(part in node["html"] for part in FRAMEWORK.get(one["id"], ()))
    ]
