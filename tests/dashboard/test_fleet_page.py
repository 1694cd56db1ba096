"""The fleet page: every way of grouping, small numbers said, nothing recorded."""

import pytest

from dashboard.app import create_app
from dashboard.context import AppContext
from dashboard.figures.fleet_dots_chart import Dot, dots_chart
from dashboard.figures.fleet_lives_chart import Strip, lives_chart
from dashboard.pages import fleet
from dashboard.pages.fleet import lives_words
from monitor.services.showing.fleet_lives import GROUPINGS, Life, survival_of
from monitor.settings import Settings
from tests.dashboard.pressing import page_words


@pytest.mark.parametrize("by", [*GROUPINGS, "nonsense"])
def test_every_grouping_answers(reader, by):
    words = page_words(reader, "/fleet", f"?by={by}")

    assert "installed since" in words
    assert "How long they stand" in words
    assert "few" in words
    assert "What comes due in ten years" in words


def test_what_moves_for_certain_is_listed_with_its_promise(reader):
    words = page_words(reader, "/fleet")

    assert "S-0101" in words
    assert "twenty of this list stands still" in words


def test_an_unknown_quantity_falls_back_to_one_that_is_there(reader):
    assert "95 % bounds" in page_words(reader, "/fleet", "?of=charm&who=ghost")


def test_an_empty_record_says_so(store, clock, tmp_path):
    context = AppContext(Settings(data_folder=tmp_path), store, clock)
    create_app(context)

    assert "Nothing is recorded yet" in fleet.layout(context).children[0].children


def test_overlapping_bounds_are_called_chance():
    some = survival_of("post", [Life(25.0, False)] * 20 + [Life(10.0, True)])
    other = survival_of("pin", [Life(25.0, False)] * 20)
    ruined = survival_of("rope", [Life(8.0, True)] * 19 + [Life(21.0, False)])

    assert "may be chance" in lives_words([some, other], "kind")
    assert "chance" not in lives_words([other, ruined], "kind")
    assert "too few" in lives_words([other], "kind")


def test_a_strip_draws_its_share_between_its_bounds():
    strip = Strip(
        "post", "3", ((0.0, 1.0, 1.0, 1.0), (9.0, 0.5, 0.2, 0.8)), is_few=False
    )

    figure = lives_chart([strip])

    drawn = {one.name: list(one.y) for one in figure.data}
    assert drawn == {"low": [1.0, 0.2], "high": [1.0, 0.8], "post": [1.0, 0.5]}


def test_too_few_are_drawn_hollow_and_without_bounds():
    dots = [
        Dot("clay", 0.2, 0.1, 0.3, "", is_few=False),
        Dot("sand", 0.4, None, None, "", is_few=True),
    ]

    figure = dots_chart(dots, axis="mm a year", mark=0.0, mark_words="still")

    assert len(set(figure.data[0].marker.color)) == 2
    assert sum(shape.y0 == shape.y1 for shape in figure.layout.shapes) == 1


def test_nothing_to_draw_is_a_sentence():
    assert lives_chart([]).layout.annotations[0].text
    assert dots_chart([], axis="", mark=0, mark_words="").layout.annotations[0].text
