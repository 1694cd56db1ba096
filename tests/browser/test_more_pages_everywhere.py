"""The pages for the office at four widths, in light and dark, a few at a time."""

import pytest

from tests.browser.conftest import sign_in
from tests.browser.test_pages_everywhere import WIDTHS, settled

pytestmark = pytest.mark.browser

GROUPS = (
    ("/map", "/fleet", "/imports"),
    ("/rounds", "/plan", "/plan/calendar", "/due/days"),
    ("/policy", "/events", "/decide"),
    ("/people", "/account", "/notices"),
    ("/supports/S-0101/photos", "/supports/S-0101/margin", "/work/S-0101"),
    ("/guides", "/guides/inspector", "/papers", "/forecasts"),
)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("paths", GROUPS, ids=lambda paths: paths[0])
def test_nothing_is_cut_laid_over_or_unnamed(chromium, whole_home, paths, scheme):
    context = chromium.new_context(color_scheme=scheme)
    page = context.new_page()
    heard = sign_in(page, whole_home, name="Otto")
    wrong = []

    for path in paths:
        page.set_viewport_size({"width": WIDTHS[-1], "height": 900})
        page.goto(f"{whole_home}{path}")
        page.locator("main h1").first.wait_for()
        page.wait_for_load_state("networkidle")
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            wrong += [f"{path} at {width}: {what}" for what in settled(page)]

    context.close()
    assert not wrong, "\n".join(wrong)
    assert heard.complaints == []
    assert heard.elsewhere == []
