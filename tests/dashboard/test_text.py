"""Words, numbers and dates for people."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.components.text import ago, between, counted, listed, reached, sentence
from dashboard.routing import Route, find_route, query_of
from monitor.domain.conclusions import Dates

TODAY = date(2026, 6, 1)


@pytest.mark.parametrize(
    ("dates", "said"),
    [
        ((None, None, None), "not within 100 years, even at the fast bound"),
        ((date(2020, 1, 1), date(2021, 1, 1), date(2022, 1, 1)), "reached already"),
        (
            (date(2034, 1, 1), date(2037, 1, 1), date(2043, 1, 1)),
            "between 2034 and 2043, most likely 2037",
        ),
        (
            (date(2025, 1, 1), date(2027, 3, 1), date(2031, 1, 1)),
            "between now and 2031, most likely March 2027",
        ),
        (
            (date(2034, 1, 1), None, None),
            "2034 at the earliest, most likely not within 100 years",
        ),
        (
            (date(2034, 1, 1), date(2060, 1, 1), None),
            "2034 at the earliest, most likely 2060, perhaps never",
        ),
        ((date(2034, 1, 1), date(2034, 5, 1), date(2034, 9, 1)), "in 2034"),
    ],
)
def test_when_a_limit_is_reached_is_said_no_finer_than_it_is_known(dates, said):
    assert reached(Dates(*dates), TODAY) == said


@given(st.lists(st.dates(date(2026, 1, 1), date(2120, 1, 1)), min_size=3, max_size=3))
def test_something_is_always_said_of_a_limit(days):
    early, median, late = sorted(days)

    assert reached(Dates(early, median, late), TODAY)


def test_a_range_names_its_unit_once_with_a_thin_space_and_a_real_minus():
    assert between(-0.8, 2.2, "mm") == "−0.8 to 2.2\u2009mm"


def test_small_numbers_are_words():
    assert [counted(n, "support") for n in (0, 1, 2, 13)] == [
        "no supports",
        "one support",
        "two supports",
        "13 supports",
    ]


def test_things_in_a_row_end_with_and():
    assert listed(["post", "pin", "cable"]) == "post, pin and cable"
    assert listed(["post"]) == "post"
    assert listed([]) == ""


def test_a_sentence_starts_with_a_capital():
    assert sentence("two µm") == "Two µm"
    assert sentence("") == ""


@pytest.mark.parametrize(
    ("on", "said"),
    [
        (date(2026, 6, 1), "today"),
        (date(2026, 5, 31), "one day ago"),
        (date(2025, 12, 1), "six months ago"),
        (date(2023, 6, 1), "three years ago"),
    ],
)
def test_how_long_ago_is_said_roughly(on, said):
    assert ago(on, TODAY) == said


def test_an_address_finds_its_page_with_its_parts():
    routes = [Route("today", "/"), Route("support", "/supports/<code>")]

    assert find_route(routes, "/") == ("today", {})
    assert find_route(routes, "/supports/A%2FB%20C/") == ("support", {"code": "A/B C"})
    assert find_route(routes, "/supports/A/B") is None
    assert find_route(routes, "/supports") is None


def test_a_page_gets_only_the_query_it_knows():
    assert query_of("?q=two%20words&evil=1&q=again", ("q",)) == {"q": "two words"}
