"""Columns against printed examples; AISC and Eurocode kept apart."""

import math
from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import eigh_tridiagonal

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics import columns_aisc as aisc
from monitor.mechanics import columns_ec3 as ec3
from monitor.mechanics.screening import CAUTION
from monitor.mechanics.sections import (
    RoundTube,
    Section,
    aisc_box,
    box_less_outside,
    box_section,
    hot_finished_box,
    round_section,
)

INCH = 25.4
FOOT = 304.8
KSI = 6.894757
KIP = 4.4482216  # kN


def printed_column(area_in2, radius_in, length_ft, fy_ksi):
    section = Section(
        area_in2 * INCH**2,
        area_in2 * radius_in**2 * INCH**4,
        radius_in * INCH,
        1.0,
        1.0,
        14.2,
    )
    return aisc.Column(section, length_ft * FOOT, 1.0, fy_ksi * KSI, 33.7)


@pytest.mark.parametrize(
    ("slenderness", "expected_ksi"),
    [(68.5, 60.998), (145.0, 13.613)],  # AISC Design Examples, Euler stress
)
def test_euler_stress_is_that_of_the_example(slenderness, expected_ksi):
    found = aisc.elastic_stress_mpa(slenderness) / KSI

    assert found == pytest.approx(expected_ksi, abs=0.001)


@pytest.mark.parametrize(
    ("area", "radius", "length_ft", "printed_kip", "tol"),
    [
        (14.6, 4.01, 16, 556, 1),  # AISC Design Examples E.9, HSS12x10x3/8
        (28.5, 6.91, 18, 1190, 5),  # AISC Manual table 4-5, HSS20x.500
    ],
)
def test_design_strength_is_the_printed_one(area, radius, length_ft, printed_kip, tol):
    result = aisc.design_column(printed_column(area, radius, length_ft, 50))

    assert result.design_kn / KIP == pytest.approx(printed_kip, abs=tol)


@pytest.mark.parametrize(
    ("length_ft", "fy", "phi_pn", "pn_omega"),
    [
        # derived by hand from AISC 360 E3; the printed table row was not seen
        (6, 46, 120.0, 79.8),
        (10, 46, 91.7, 61.0),
        (12, 50, 78.7, 52.3),
        (14, 50, 62.1, 41.3),
        (15, 46, 54.3, 36.1),
        (15, 50, 54.3, 36.1),  # elastic range: the steel no longer matters
        (18, 46, 37.7, 25.1),
    ],
)
def test_a_four_inch_tube_by_length(length_ft, fy, phi_pn, pn_omega):
    column = printed_column(3.37, 1.52, length_ft, fy)

    assert aisc.design_column(column).design_kn / KIP == pytest.approx(phi_pn, abs=0.1)
    assert aisc.allowable_column(column).allowable_kn / KIP == pytest.approx(
        pn_omega, abs=0.1
    )


@pytest.mark.parametrize(
    ("length_ft", "phi_pn"), [(6, 37.8), (8, 30.1), (10, 22.5), (12, 15.9)]
)
def test_a_pipe_by_length(length_ft, phi_pn):
    # derived by hand from AISC 360 E3, Pipe 2-1/2 STD, Fy 35 ksi
    column = printed_column(1.61, 0.952, length_ft, 35)

    assert aisc.design_column(column).design_kn / KIP == pytest.approx(phi_pn, abs=0.1)


@pytest.mark.parametrize(
    ("length_ft", "phi_pn"), [(8, 80.5), (10, 66.1), (12, 51.9), (14, 39.1)]
)
def test_a_round_tube_by_length(length_ft, phi_pn):
    # derived by hand from AISC 360 E3, HSS4.000x.250, Fy 46 ksi
    column = printed_column(2.76, 1.33, length_ft, 46)

    assert aisc.design_column(column).design_kn / KIP == pytest.approx(phi_pn, abs=0.1)


@pytest.mark.parametrize(("fy", "limit"), [(35, 135.6), (46, 118.3), (50, 113.4)])
def test_the_curve_of_columns_is_continuous_at_its_limit(fy, limit):
    # AISC 360 E3: 4.71 sqrt(E/Fy), derived by hand
    assert 4.71 * math.sqrt(29000 / fy) == pytest.approx(limit, abs=0.05)
    below = aisc.critical_stress_mpa(limit - 0.05, fy * KSI)
    above = aisc.critical_stress_mpa(limit + 0.05, fy * KSI)

    assert below == pytest.approx(above, rel=0.003)


@pytest.mark.parametrize(("fy", "limit"), [(46, 35.2), (50, 33.7)])
def test_the_wall_limit_of_a_box(fy, limit):
    # AISC 360 table B4.1a, as reproduced
    assert aisc.box_wall_limit(fy * KSI) == pytest.approx(limit, abs=0.05)


@pytest.mark.parametrize(
    ("axial", "moment", "expected", "tol"),
    [
        (400 / 1130, 250 / 642 + 80 / 311, 0.929, 0.001),  # AISC Example H.1B
        (5 / 50, 20 / 100, 0.250, 1e-12),  # by hand, second branch
    ],
)
def test_interaction_has_two_branches(axial, moment, expected, tol):
    assert aisc.interaction(axial, moment) == pytest.approx(expected, abs=tol)


def test_the_amplifier_grows_without_end_near_the_euler_load():
    # derived by hand: 1 / (1 - 1.6 x 10 / 24.41)
    assert aisc.amplifier(10.0, 24.41, 1.6) == pytest.approx(2.90, abs=0.01)
    assert aisc.amplifier(24.41, 24.41, 1.0) == math.inf


def test_wall_loss_lowers_strength_nearly_with_area():
    # ratios derived by hand from AISC 360 E3: 12 ft, Fy 50
    new = aisc_box(4 * INCH, 4 * INCH, 0.233 * INCH)

    def allowable(loss_in):
        section = box_section(box_less_outside(new, loss_in * INCH))
        column = aisc.Column(section, 12 * FOOT, 1.0, 50 * KSI, 33.7)
        return aisc.allowable_column(column).allowable_kn

    ratios = [allowable(d) / allowable(0.0) for d in (0.010, 0.020, 0.040, 0.050)]
    assert ratios == pytest.approx([0.952, 0.904, 0.810, 0.764], abs=0.001)


@pytest.mark.parametrize(
    ("slender", "curve", "expected"),
    [
        # EN 1993-1-1 equation 6.49, worked by hand
        (1.0, "a0", 0.7253),
        (1.0, "a", 0.6656),
        (1.0, "b", 0.5970),
        (1.0, "c", 0.5399),
        (1.0, "d", 0.4671),
        (0.5, "a", 0.9243),
        (0.5, "c", 0.8430),
        (2.0, "a", 0.2229),
        (2.0, "c", 0.1962),
    ],
)
def test_the_buckling_curves_of_eurocode(slender, curve, expected):
    found = ec3.reduction(slender, ec3.Curve(curve))

    assert found == pytest.approx(expected, abs=0.0001)


@pytest.mark.parametrize(
    ("length", "slender", "chi", "hot_kn", "cold_kn"),
    [
        (3000, 1.0321, 0.6432, 529, 429),  # EN 1993-1-1 6.3.1, worked by hand
        (4000, 1.3761, 0.4298, 354, 295),
        (5000, 1.7201, 0.2932, 241, 208),
    ],
)
def test_a_european_tube_by_length(length, slender, chi, hot_kn, cold_kn):
    tube = box_section(hot_finished_box(100.0, 100.0, 6.3))
    hot = ec3.Column(tube, length, 355.0, ec3.Forming.HOT_FINISHED, 34.0)
    cold = ec3.Column(tube, length, 355.0, ec3.Forming.COLD_FORMED, 34.0)

    result = ec3.resistance_column(hot)

    assert result.relative_slenderness == pytest.approx(slender, rel=0.001)
    assert result.reduction == pytest.approx(chi, rel=0.002)
    assert result.resistance_kn == pytest.approx(hot_kn, rel=0.005)
    assert ec3.resistance_column(cold).resistance_kn == pytest.approx(
        cold_kn, rel=0.005
    )


def test_the_methods_never_share_a_field_or_a_name():
    column = printed_column(3.37, 1.52, 10, 46)
    tube = box_section(hot_finished_box(100.0, 100.0, 6.3))
    european = ec3.Column(tube, 3000.0, 355.0, ec3.Forming.HOT_FINISHED, 34.0)

    results = (
        aisc.allowable_column(column),
        aisc.design_column(column),
        ec3.resistance_column(european),
    )

    assert len({result.method for result in results}) == 3
    strengths = [{f.name for f in fields(r) if f.name.endswith("_kn")} for r in results]
    assert strengths == [{"allowable_kn"}, {"design_kn"}, {"resistance_kn"}]
    assert {result.caution for result in results} == {CAUTION}


def test_eulers_load_is_the_first_eigenvalue_of_the_column_equation():
    # oracle: finite differences of E I y'' + P y = 0, pinned at both ends
    inertia, length, n = 3.247e6, 3657.6, 400
    step = length / n
    first = eigh_tridiagonal(
        np.full(n - 1, 2.0 / step**2),
        np.full(n - 2, -1.0 / step**2),
        select="i",
        select_range=(0, 0),
    )[0][0]

    found = aisc.euler_n(inertia, length)

    assert found == pytest.approx(aisc.MODULUS_MPA * inertia * first, rel=1e-4)


@given(st.floats(500.0, 6000.0), st.floats(1.0, 1.5), st.floats(235.0, 460.0))
def test_a_longer_column_is_never_stronger(length, longer, fy):
    tube = round_section(RoundTube(114.3, 5.0))

    def both(mm):
        column = aisc.Column(tube, mm, 1.0, fy, 60.0)
        europe = ec3.Column(tube, mm, fy, ec3.Forming.COLD_FORMED, 60.0)
        return (
            aisc.allowable_column(column).allowable_kn,
            ec3.resistance_column(europe).resistance_kn,
        )

    for short, long in zip(both(length), both(length * longer), strict=True):
        assert long <= short * (1 + 1e-12)


@given(st.floats(0.0, 3.0), st.floats(0.0, 3.0), st.floats(0.0, 0.5))
def test_more_moment_is_never_less_use(axial, moment, more):
    used = aisc.interaction(axial, moment)

    assert aisc.interaction(axial, moment + more) >= used


def test_a_wall_that_buckles_first_needs_an_engineer():
    thin = box_section(aisc_box(200.0, 200.0, 3.0))

    with pytest.raises(InsufficientData, match="engineer"):
        aisc.allowable_column(aisc.Column(thin, 3000.0, 1.0, 345.0, 33.7))
    with pytest.raises(InsufficientData, match="class 4"):
        ec3.resistance_column(
            ec3.Column(thin, 3000.0, 355.0, ec3.Forming.COLD_FORMED, 34.0)
        )


def test_a_slenderness_beyond_range_is_refused_and_200_is_told():
    with pytest.raises(InvalidInput, match="Slenderness"):
        aisc.allowable_column(printed_column(3.37, 1.52, 60, 46))

    told = aisc.allowable_column(printed_column(3.37, 1.52, 27, 46))
    assert "above the advised 200" in told.assumed[1]


@pytest.mark.parametrize("fy", [0.0, -50.0])
def test_a_yield_strength_of_nothing_is_refused(fy):
    with pytest.raises(InvalidInput, match="yield strength"):
        aisc.critical_stress_mpa(80.0, fy)


def test_the_recommended_length_factors():
    # AISC commentary table C-A-7.1; fixed-free and fixed-fixed from memory
    factors = [aisc.LENGTH_FACTOR[end] for end in aisc.EndFixity]

    assert factors == [1.0, 0.80, 0.65, 2.1]


def test_a_stocky_wall_bends_plastically_and_a_thin_one_does_not():
    tube = round_section(RoundTube(114.3, 5.0))  # D/t = 22.9

    plastic = aisc.nominal_moment_nmm(tube, 250.0, aisc.round_compact_limit(250.0))
    elastic = aisc.nominal_moment_nmm(tube, 250.0, 10.0)

    assert plastic == pytest.approx(250.0 * tube.plastic_mm3)
    assert elastic == pytest.approx(250.0 * tube.elastic_mm3)
