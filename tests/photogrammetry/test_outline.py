"""Area, width and height of an outline, and what is no outline."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.errors import InvalidInput
from monitor.photogrammetry.measure import Figure
from monitor.photogrammetry.outline import checked, extent, first_crossing, gradients
from monitor.photogrammetry.quarters import Quarters

SQUARE = [(0, 0), (10, 0), (10, 10), (0, 10)]
BOW = [(0, 0), (10, 10), (10, 0), (0, 10)]


def test_a_square_of_ten_has_a_hundred():
    found = extent(checked(SQUARE))

    # By hand.
    assert (found.area, found.width, found.height, found.perimeter) == (100, 10, 10, 40)


def test_a_right_angled_triangle_has_half_the_product_of_its_legs():
    # By hand: 3 · 4 / 2 = 6, sides 3, 4, 5.
    found = extent(checked([(0, 0), (3, 0), (0, 4)]))

    assert (found.area, found.perimeter) == (6, 12)


def test_a_polygon_of_many_sides_is_nearly_its_circle():
    around = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    circle = np.column_stack([30 * np.cos(around), 30 * np.sin(around)])

    # A regular polygon of n sides in a circle: n/2 · r² · sin(2π/n).
    assert extent(circle).area == pytest.approx(360 * 900 * math.sin(math.pi / 360))


def test_an_outline_that_crosses_itself_is_refused_naming_the_sides():
    with pytest.raises(InvalidInput, match="crosses itself: side 1 meets side 3"):
        checked(BOW)


@pytest.mark.parametrize(
    "points", [[], [(1, 1)], [(1, 1), (2, 2)], [(1, 1), (1, 1), (2, 2)]]
)
def test_two_points_enclose_nothing(points):
    with pytest.raises(InvalidInput):
        checked(points)


@pytest.mark.parametrize(
    "points", ["abc", [(1, 2, 3)] * 4, [(1, float("nan"))] * 4, None]
)
def test_what_is_no_list_of_points_is_refused_in_words(points):
    with pytest.raises(InvalidInput, match="list of points"):
        checked(points)


def test_a_point_tapped_twice_counts_once():
    assert len(checked([(0, 0), (0, 0), (10, 0), (10, 10)])) == 3


@st.composite
def stars(draw):
    """Outlines around a point, which never cross."""
    radii = draw(st.lists(st.floats(5, 50), min_size=4, max_size=40))
    around = np.linspace(0, 2 * np.pi, len(radii), endpoint=False)
    return np.column_stack([radii * np.cos(around), radii * np.sin(around)])


@given(stars(), st.floats(-3, 3), st.floats(0.2, 5))
def test_area_does_not_care_for_place_turn_or_way_round(star, angle, scale):
    c, s = np.cos(angle), np.sin(angle)
    moved = scale * star @ np.array([[c, -s], [s, c]]) + (7, -3)

    assert first_crossing(star) is None
    assert extent(moved).area == pytest.approx(scale**2 * extent(star).area)
    assert extent(star[::-1]).area == pytest.approx(extent(star).area)


@given(stars(), st.integers(0, 39), st.sampled_from([(1e-4, 0), (0, 1e-4)]))
def test_the_slope_of_the_area_is_what_moving_a_point_does(star, n, step):
    n %= len(star)
    moved = star.copy()
    moved[n] += step
    expected = gradients(star)[0][n] @ step

    assert extent(moved).area - extent(star).area == pytest.approx(expected, abs=1e-6)


def test_four_equal_distances_make_a_circle():
    found = Quarters(10, 10, 10, 10)

    # By geometry: π r², and 2 r across.
    assert found.area.value == pytest.approx(math.pi * 100)
    assert (found.width.value, found.height.value) == (20, 20)


def test_four_distances_make_four_quarter_ellipses():
    # By hand: π/4 · (30·10 + 10·20 + 20·14 + 14·30) = π/4 · 1200 = 942.48 mm².
    found = Quarters(30, 10, 20, 14)

    assert found.area.value == pytest.approx(942.48, abs=0.01)
    assert (found.width.value, found.height.value) == (24, 50)
    # By hand: √2 · 1 mm for two readings of 1 mm each.
    assert found.width.sd == pytest.approx(1.41, abs=0.005)


@pytest.mark.parametrize("wrong", [-1, 1501, math.nan, math.inf])
def test_what_is_no_distance_names_its_hour(wrong):
    with pytest.raises(InvalidInput, match="6 o'clock"):
        Quarters(10, 10, wrong, 10)


def test_a_range_never_goes_below_nothing():
    assert Figure(1.0, 2.0).low == 0.0
    assert Figure(1.0, 2.0).high == pytest.approx(4.92)
