"""Pins in green wood and the wood that closes over them."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.pins import (
    MPA_PER_PSI,
    PinJoint,
    bearing_across_mpa,
    bearing_along_mpa,
    bending_mpa,
    double_shear_mpa,
    hankinson_mpa,
    mean_bearing_mpa,
    pin_moment_nmm,
    rod_allowable_n,
    rod_rupture_n,
    shear_allowable_n,
    wet_lateral_n,
    yield_modes_n,
)
from monitor.mechanics.woundwood import (
    ONE_SEASON_MM,
    Course,
    Opening,
    Vigour,
    area_from_widths_mm2,
    closed_share_by_area,
    closed_share_by_width,
    closing_years,
    course_of,
    girth_growth_mm_year,
    oval_area_mm2,
    rate_by_vigour_mm_year,
    rate_from_growth_mm_year,
    reach_years,
    sling_years,
)

INCH, LBF = 25.4, 4.4482216
PSI = MPA_PER_PSI


def a_joint(angle=90.0, main_mm=14 * INCH, gravity=0.5, diameter=0.75 * INCH):
    along, across = bearing_along_mpa(gravity), bearing_across_mpa(gravity, diameter)
    return PinJoint(
        diameter,
        main_mm,
        12.0,
        hankinson_mpa(along, across, angle),
        600.0,
        310.0,
        angle,
    )


@pytest.mark.parametrize(
    ("gravity", "inches", "along", "across"),
    # NDS table 12.3.3 formulas as reproduced, worked by hand, psi
    [
        (0.50, 0.75, 5600, 2578),
        (0.42, 0.5, 4704, 2452),
        (0.73, 1.0, 8176, 3865),
        (0.50, 0.625, 5600, 2824),
    ],
)
def test_wood_bears_a_dowel(gravity, inches, along, across):
    assert bearing_along_mpa(gravity) / PSI == pytest.approx(along, abs=1)
    assert bearing_across_mpa(gravity, inches * INCH) / PSI == pytest.approx(
        across, abs=1
    )


def test_hankinson_lies_between_its_ends():
    # NDS, by hand: 3531 psi at 45 deg
    found = hankinson_mpa(5600 * PSI, 2578 * PSI, 45.0) / PSI

    assert found == pytest.approx(3531, abs=2)
    assert hankinson_mpa(5600.0, 2578.0, 0.0) == pytest.approx(5600.0)
    assert hankinson_mpa(5600.0, 2578.0, 90.0) == pytest.approx(2578.0)


def test_a_pin_of_three_quarters_through_fourteen_inches():
    # by hand: 476 psi mean bearing; double shear 5659 psi
    load = 5000 * LBF

    assert mean_bearing_mpa(load, 0.75 * INCH, 14 * INCH) / PSI == pytest.approx(
        476, abs=1
    )
    assert double_shear_mpa(load, 0.75 * INCH) / PSI == pytest.approx(5659, abs=2)


@pytest.mark.parametrize(("angle", "expected"), [(90.0, 5414), (0.0, 14_700)])
def test_the_crushing_mode_of_double_shear(angle, expected):
    # NDS 12.3.1 mode Im (form from memory), by hand, lbf
    modes = yield_modes_n(a_joint(angle))

    assert modes.main_crushes_n / LBF == pytest.approx(expected, abs=5)


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


def test_bending_and_shear_of_a_pin():
    # by hand: V L / 8 and 32 M / pi d^3
    moment = pin_moment_nmm(8000.0, 200.0)

    assert moment == pytest.approx(200_000.0)
    assert bending_mpa(moment, 20.0) == pytest.approx(254.6, abs=0.1)
    # AISC 360 J3 from memory: 0.45 Fu on two planes over 2.0
    assert shear_allowable_n(20.0, 400.0) == pytest.approx(
        0.45 * 400 * 2 * math.pi * 100 / 2
    )


def test_a_one_inch_rod():
    # AISC 360 J3 from memory, by hand: 35.3 kip nominal for Fu 60 ksi
    rupture = rod_rupture_n(INCH, 60 * 6.894757)

    assert rupture / LBF / 1000 == pytest.approx(35.3, abs=0.05)
    assert 0.75 * rupture / LBF / 1000 == pytest.approx(26.5, abs=0.05)
    allowable = rod_allowable_n(INCH, 60 * 6.894757, 36 * 6.894757)
    assert allowable == pytest.approx(36 * 1000 * LBF * math.pi / 4 / 1.67, rel=1e-6)


def test_a_thin_dowel_and_a_wild_gravity_are_refused():
    with pytest.raises(InvalidInput, match=r"6\.35 mm"):
        bearing_across_mpa(0.5, 5.0)
    with pytest.raises(InvalidInput, match="gravity"):
        bearing_along_mpa(1.4)
    with pytest.raises(InsufficientData, match="sound wood is missing"):
        mean_bearing_mpa(5000.0, 20.0, float("nan"))


@pytest.mark.parametrize(
    ("width", "rate", "years"),
    [
        (80, 18.4, 4.35),  # rate: oriental beech, Padova; by hand
        (25, 13.0, 1.92),  # rate: ash, Vasiliauskas and Stenlid 1998; by hand
        (80, 6.4, 12.5),  # rate: lime, Hyrcanian study; by hand
    ],
)
def test_years_to_close(width, rate, years):
    expected = closing_years(width, rate)

    assert expected.middle == pytest.approx(years, abs=0.01)
    assert expected.low < expected.middle < expected.high


def test_a_hole_closes_only_down_to_its_pin():
    left = closing_years(45.0, 10.0, hardware_mm=25.0)

    assert left.middle == pytest.approx(2.0)
    assert closing_years(20.0, 10.0, hardware_mm=25.0).middle == 0.0


def test_rates_follow_growth_and_vigour():
    # common practice: 2 k g, capped at 24; holes below 30 mm at half
    assert rate_from_growth_mm_year(3.0) == 12.0
    assert rate_from_growth_mm_year(9.0) == 24.0
    assert rate_by_vigour_mm_year(Vigour.GOOD, 80.0) == 13.0
    assert rate_by_vigour_mm_year(Vigour.GOOD, 25.0) == 6.5


def test_neelys_season_widths_are_eleven_eight_and_six_sixteenths():
    # Neely 1979: 11/16, 1/2 and 3/8 in
    assert list(ONE_SEASON_MM.values()) == pytest.approx(
        [11 / 16 * INCH, INCH / 2, 3 / 8 * INCH]
    )


def test_share_by_width_and_by_area_differ():
    # by hand: 60 to 15 mm, equally shorter: 0.75 and 0.9375
    assert closed_share_by_width(60.0, 15.0) == 0.75
    first, now = oval_area_mm2(60.0, 80.0), oval_area_mm2(15.0, 20.0)
    assert closed_share_by_area(first, now) == pytest.approx(0.9375)


def test_area_from_widths_of_a_circle():
    heights = np.linspace(-20.0, 20.0, 401)
    widths = 2 * np.sqrt(400.0 - heights**2)

    assert area_from_widths_mm2(heights, widths) == pytest.approx(
        math.pi * 400, rel=1e-3
    )


def test_bark_reaches_the_nut():
    # by hand: 40 mm at 3 mm/y: 13.3 y; 20 mm must stand out: 6.7 y
    assert reach_years(40.0, 0.0, 3.0) == pytest.approx(13.33, abs=0.01)
    assert reach_years(40.0, 20.0, 3.0) == pytest.approx(6.67, abs=0.01)
    assert reach_years(10.0, 20.0, 3.0) == 0.0


def test_girth_eats_the_spare_of_a_sling():
    # by hand: 2 pi 3 = 18.85 mm/y; 150 mm lasts 8 y
    assert girth_growth_mm_year(3.0) == pytest.approx(18.85, abs=0.005)
    assert sling_years(150.0, 3.0) == pytest.approx(7.96, abs=0.01)


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


def test_a_tree_that_does_not_grow_gives_no_date():
    with pytest.raises(InvalidInput, match="closing rate"):
        closing_years(40.0, 0.0)
    with pytest.raises(InvalidInput, match="Heights must rise"):
        area_from_widths_mm2(np.array([0.0]), np.array([10.0]))
