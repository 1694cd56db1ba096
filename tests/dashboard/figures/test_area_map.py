"""The map of an event: every support once, gravest first, to scale."""

import math

import pytest

from dashboard.figures.area_map import KM_PER_DEGREE, Spot, State, area_map

HERE, THERE = (-20.0, 47.5), (-19.99, 47.51)


def spot(code, place, state=State.OTHER):
    return Spot(code, place, state, "Chapel Row")


def traces(figure):
    return {trace.name: trace for trace in figure.data}


def test_without_any_place_it_is_a_sentence():
    figure = area_map([])

    assert not figure.data
    assert "never noted" in figure.layout.annotations[0].text


def test_each_support_is_drawn_by_what_is_asked_of_it():
    figure = area_map([spot("A", HERE, State.WAITING), spot("B", THERE, State.SEEN)])

    assert list(traces(figure)["still wants a look"].x) == [HERE[0]]
    assert list(traces(figure)["looked at since"].y) == [THERE[1]]
    assert "A" in {note.text for note in figure.layout.annotations}


def test_supports_at_one_place_share_a_mark_and_the_gravest_shows():
    figure = area_map([spot("A", HERE), spot("B", HERE, State.WAITING)])

    assert list(traces(figure)["not called"].x) == []
    assert traces(figure)["still wants a look"].text[0].startswith("B:")
    assert "also here: A" in traces(figure)["still wants a look"].text[0]


def test_one_kilometre_is_as_long_both_ways():
    figure = area_map([spot("A", HERE), spot("B", THERE)])

    # by hand: a degree of longitude is cos(latitude) of one of latitude
    ratio = figure.layout.yaxis.scaleratio
    assert ratio == pytest.approx(1 / math.cos(math.radians(47.505)), rel=1e-4)
    assert pytest.approx(111.195, abs=0.001) == KM_PER_DEGREE


def test_a_storm_far_larger_than_the_city_still_shows_the_city():
    wide = [(-30.0, 40.0), (-10.0, 40.0), (-10.0, 55.0), (-30.0, 55.0)]

    figure = area_map([spot("A", HERE), spot("B", THERE)], [wide])

    west, east = figure.layout.xaxis.range
    assert east - west < 0.1
