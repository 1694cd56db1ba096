"""The page of rounds: every button is an address that plans again."""

from datetime import date

import pytest

from dashboard.figures.round_drawing import Spot, round_drawing
from tests.dashboard.pressing import page_words

SEARCH = "?people=Edda&days=3"


def test_the_page_first_says_how_much_is_wanted(reader):
    assert "h on site." in page_words(reader, "/rounds")


def test_named_people_get_days_with_hours(reader):
    words = page_words(reader, "/rounds", SEARCH)

    assert "Edda" in words
    assert "Leaves at " in words


def test_what_can_not_be_read_is_refused_in_words(reader):
    assert "can not be read" in page_words(reader, "/rounds", "?people=Edda+(climbing")


@pytest.mark.parametrize("days", ["0", "999", "x", "²"])
def test_days_that_are_none_are_refused(reader, days):
    words = page_words(reader, "/rounds", f"?people=Edda&days={days}")

    assert "days" in words
    assert "Leaves at " not in words


def test_a_visit_that_is_not_owed_any_more_is_named(reader):
    search = f"{SEARCH}&pins=S-9999@Edda@{date(2026, 6, 2)}"

    assert "No longer owed, so not in the plan: S-9999." in page_words(
        reader, "/rounds", search
    )


def test_a_drawing_is_no_way_to_bring_in_a_script():
    drawn = round_drawing(Spot(47.5, -20, ""), [Spot(47.6, -20.1, "<script>")])

    assert "script" not in drawn.replace("%26lt%3Bscript%26gt%3B", "")
    assert drawn.startswith("data:image/svg+xml,%3Csvg")


def test_a_travel_table_from_the_form_is_used_and_a_strange_site_named(reader):
    words = page_words(reader, "/rounds", f"{SEARCH}&table=V-S-0101,XX9,14")

    assert "no site is called XX9" in words
    assert "expected minutes" in page_words(
        reader, "/rounds", f"{SEARCH}&table=V-S-0101,XX9,far"
    )
