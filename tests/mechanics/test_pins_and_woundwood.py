"""Pins in green wood and the wood that closes over them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.pins import (
    bearing_across_mpa,
    bearing_along_mpa,
    mean_bearing_mpa,
    wet_lateral_n,
    yield_modes_n,
)
from monitor.mechanics.woundwood import (
    Course,
    Opening,
    area_from_widths_mm2,
    closing_years,
    course_of,
    reach_years,
)
from tests.mechanics.checks.pins import a_joint


def test_the_mode_of_two_hinges_balances_plastic_moments():
    # oracle: limit equilibrium of a dowel with hinges on both sides of the face
    joint = a_joint(0.0)
    fm, fs, d = joint.main_mpa, joint.side_mpa, joint.diameter_mm
    plastic = joint.bending_mpa * d**3 / 6

    def unbalanced(force):
        in_main, in_side = force / (fm * d), force / (fs * d)
        return force * (in_main + in_side) / 2 - 2 * plastic

    per_plane = brentq(unbalanced, 1.0, 1e7)

    found = yield_modes_n(joint).pin_bends_twice_n
    assert found == pytest.approx(2 * per_plane / 3.2, rel=1e-6)


def test_the_mode_of_one_hinge_balances_too():
    # oracle: rigid in the side, which it crushes both ways, one hinge in the wood
    joint = a_joint(0.0)
    fm, fs, d, ls = joint.main_mpa, joint.side_mpa, joint.diameter_mm, joint.side_mm
    plastic = joint.bending_mpa * d**3 / 6

    def unbalanced(turn):
        into_wood = fs / fm * (2 * turn - ls)
        return fs * d * (turn**2 - ls**2 / 2) + fm * d * into_wood**2 / 2 - plastic

    turn = brentq(unbalanced, ls / 2, ls)
    per_plane = fs * d * (2 * turn - ls)

    found = yield_modes_n(joint).pin_bends_in_side_n
    assert found == pytest.approx(2 * per_plane / 3.2, rel=1e-6)


def test_green_wood_takes_seven_tenths_of_the_weakest_mode():
    joint = a_joint()
    modes = yield_modes_n(joint)

    least = min(
        modes.main_crushes_n,
        modes.side_crushes_n,
        modes.pin_bends_in_side_n,
        modes.pin_bends_twice_n,
    )

    # wet factor 0.7: NDS, from memory
    assert wet_lateral_n(joint) == pytest.approx(0.7 * least)


@given(st.floats(60.0, 500.0), st.floats(0.1, 0.9))
def test_decay_never_strengthens_a_joint(main, share):
    assert wet_lateral_n(a_joint(main_mm=main * share)) <= wet_lateral_n(
        a_joint(main_mm=main)
    )


def test_a_thin_dowel_and_a_wild_gravity_are_refused():
    with pytest.raises(InvalidInput, match=r"6\.35 mm"):
        bearing_across_mpa(0.5, 5.0)
    with pytest.raises(InvalidInput, match="gravity"):
        bearing_along_mpa(1.4)
    with pytest.raises(InsufficientData, match="sound wood is missing"):
        mean_bearing_mpa(5000.0, 20.0, float("nan"))


@pytest.mark.parametrize(
    ("years", "widths", "expected"),
    [
        ([0, 1, 2, 3], [48, 40, 33, 26], Course.CLOSING),
        ([0, 1, 2, 3, 4], [48, 40, 39.5, 39, 39], Course.STALLED),
        ([0, 1, 2], [48, 40, 44], Course.REOPENING),
        ([0, 1, 2], [48, 30, 25.5], Course.CLOSED),
        ([0], [48], Course.TOO_FEW),
        ([0, 1], [48, 44], Course.TOO_FEW),
        ([2, 0, 1], [33, 48, 40], Course.CLOSING),
    ],
)
def test_the_course_of_an_opening(years, widths, expected):
    opening = Opening(expected_mm_year=8.0, noise_mm=0.7, hardware_mm=25.0)

    found = course_of(np.array(years, float), np.array(widths, float), opening)

    assert found is expected


def test_noise_is_not_reopening():
    # by hand: 2.77 x 0.7 mm = 1.94 mm between two readings
    opening = Opening(expected_mm_year=8.0, noise_mm=0.7)

    found = course_of(np.array([0.0, 1.0, 2.0]), np.array([48, 38, 39.9]), opening)

    assert found is Course.CLOSING


@given(st.floats(5.0, 200.0), st.floats(1.0, 24.0), st.floats(0.0, 50.0))
def test_a_wider_opening_never_closes_sooner(width, rate, more):
    assert closing_years(width + more, rate).middle >= closing_years(width, rate).middle


@given(st.floats(5.0, 200.0), st.floats(1.0, 24.0))
def test_the_years_to_close_have_a_spread(width, rate):
    years = closing_years(width, rate)

    assert years.low < years.middle < years.high


def test_bark_beyond_the_nut_has_no_years_left():
    assert reach_years(10.0, 20.0, 3.0) == 0.0


def test_a_tree_that_does_not_grow_gives_no_date():
    with pytest.raises(InvalidInput, match="closing rate"):
        closing_years(40.0, 0.0)
    with pytest.raises(InvalidInput, match="Heights must rise"):
        area_from_widths_mm2(np.array([0.0]), np.array([10.0]))
