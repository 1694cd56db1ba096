"""The pages for the office at four widths, in light and dark, a few at a time."""

import pytest

from tests.browser.test_pages_everywhere import everywhere

pytestmark = pytest.mark.browser

GROUPS = (
    ("/map", "/fleet", "/imports"),
    ("/rounds", "/plan", "/plan/calendar", "/due/days"),
    ("/policy", "/events", "/decide"),
    ("/people", "/account", "/notices"),
    ("/supports/S-0101/photos", "/supports/S-0101/margin", "/works/S-0101"),
    ("/guides", "/guides/inspector", "/papers", "/forecasts"),
)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("paths", GROUPS, ids=lambda paths: paths[0])
def test_nothing_is_cut_laid_over_or_unnamed(chromium, whole_home, paths, scheme):
    wrong, heard = everywhere(chromium, whole_home, paths, ("Otto", scheme))

    assert not wrong, "\n".join(wrong)
    assert heard.complaints == []
    assert heard.elsewhere == []
