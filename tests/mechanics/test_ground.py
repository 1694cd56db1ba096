"""Footings and settlement: identities, published values, brute integration."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import fsolve

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.footing import (
    Plate,
    Soil,
    contact_length_mm,
    corner_pressure_kpa,
    edge_pressures_kpa,
    effective_pressure_kpa,
    footing_use,
    presumed_kpa,
    uneven_ground,
)
from monitor.mechanics.screening import CAUTION
from monitor.mechanics.settlement import (
    Shape,
    circle_settlement_mm,
    circle_tilt_mm_m,
    creep_factor,
    edge_difference_mm,
    fit_settlement,
    gap_mm,
    limb_stiffness_n_mm,
    load_after_settlement_n,
    load_on_spring_n,
    mean_settlement_mm,
    secondary_mm,
    settled_mm,
)

FOOT, KIP, KSF = 304.8, 4448.2216, 47.88026
PAD = Plate(600.0, 600.0)


def test_a_footing_at_the_kern_has_no_pressure_on_its_far_edge():
    # published footing problem, 120 kip on 6 x 14 ft, 1 ft off; value by hand
    most, least = edge_pressures_kpa(120 * KIP, Plate(6 * FOOT, 14 * FOOT), FOOT)

    assert most / KSF == pytest.approx(2.857, abs=0.001)
    assert least == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("e", "expected"), [(0, 111.1), (50, 166.7), (100, 222.2), (200, 444.4)]
)
def test_pressure_under_a_pad(e, expected):
    # derived by hand, 40 kN on 0.6 x 0.6 m
    most, _ = edge_pressures_kpa(40e3, PAD, e)

    assert most == pytest.approx(expected, abs=0.1)


def test_beyond_the_kern_only_part_of_the_pad_is_pressed():
    # derived by hand: 3 (0.3 - 0.2) = 0.30 m
    assert contact_length_mm(PAD, 200.0) == pytest.approx(300.0)


@given(st.floats(0.0, 280.0))
def test_pressure_carries_the_load_and_only_that(e):
    most, least = edge_pressures_kpa(40e3, PAD, e)

    carried = (most + least) / 2 / 1000 * contact_length_mm(PAD, e) * 600.0
    assert carried == pytest.approx(40e3, rel=1e-9)


@given(st.floats(0.0, 250.0))
def test_two_ways_with_one_way_is_one_way(e):
    assert corner_pressure_kpa(40e3, PAD, e, 0.0) == pytest.approx(
        edge_pressures_kpa(40e3, PAD, e)[0], rel=1e-6
    )


@pytest.mark.parametrize(("ex", "ey"), [(60, 40), (120, 90), (30, 200), (200, 180)])
def test_two_way_pressure_balances_on_a_fine_grid(ex, ey):
    # oracle: 1200 x 1200 points and a general root finder
    side = (np.arange(1200) + 0.5) / 1200 * 600 - 300
    x, y = np.meshgrid(side, side)
    cell = 0.25

    def out_of_balance(plane):
        p = np.maximum(plane[0] + plane[1] * x / 300 + plane[2] * y / 300, 0.0) * cell
        return [
            p.sum() / 40e3 - 1,
            (p * x).sum() / 40e3 / 300 - ex / 300,
            (p * y).sum() / 40e3 / 300 - ey / 300,
        ]

    plane = fsolve(out_of_balance, [0.1, 0.2, 0.2], xtol=1e-7)

    found = corner_pressure_kpa(40e3, PAD, float(ex), float(ey))
    assert found == pytest.approx(1000 * plane.sum(), rel=2e-3)


def test_effective_area_is_the_area_about_the_load():
    # by hand: 40 kN / (0.5 x 0.4 m)
    assert effective_pressure_kpa(40e3, PAD, 50.0, 100.0) == pytest.approx(200.0)


def test_a_load_beside_the_plate_overturns():
    with pytest.raises(InvalidInput, match="overturns"):
        edge_pressures_kpa(40e3, PAD, 300.0)


@pytest.mark.parametrize(
    ("soil", "expected"),
    [(Soil.CLAY, 71.8), (Soil.SAND, 95.8), (Soil.GRAVEL, 143.6), (Soil.BEDROCK, 574.6)],
)
def test_presumptive_values_are_those_of_the_code(soil, expected):
    # IBC table 1806.2, as reproduced, in kPa
    assert presumed_kpa(soil) == pytest.approx(expected, abs=0.1)


@pytest.mark.parametrize("soil", [Soil.TOPSOIL, Soil.MULCH, Soil.PEAT, Soil.FILL])
def test_nothing_is_presumed_of_organic_ground(soil):
    with pytest.raises(InsufficientData, match="geotechnical engineer"):
        presumed_kpa(soil)


def test_a_footing_result_carries_method_and_caution():
    result = footing_use(20e3, PAD, 50.0, Soil.CLAY)

    assert result.caution == CAUTION
    assert result.use == pytest.approx(20e3 / 0.36e6 * 1000 * 1.5 / 71.82, rel=1e-3)
    assert result.assumed
    assert "1806.2" in result.method


def test_a_plate_half_on_paving_is_warned_of():
    assert uneven_ground(["firm clay"]) is None
    assert uneven_ground(["firm clay", "Firm clay "]) is None
    assert "paving" in (uneven_ground(["firm clay", "paving"]) or "")


@pytest.mark.parametrize(("years", "expected"), [(1, 1.20), (10, 1.40), (50, 1.54)])
def test_creep_of_sand(years, expected):
    # Schmertmann, form as reproduced
    assert creep_factor(years) == pytest.approx(expected, abs=0.001)


def test_secondary_compression_of_two_metres():
    # Mesri, form as reproduced; value by hand
    assert secondary_mm(0.005, 2000.0, 1.0, 50.0) == pytest.approx(16.99, abs=0.01)


@given(st.floats(1.0, 100.0), st.floats(0.0, 100.0), st.floats(1e-3, 0.1))
def test_the_tilt_of_a_plate_on_springs_needs_no_spring(load_kn, e, stiffness):
    # derived by hand: edge difference over mean settlement is 12 e / L
    length = 600.0
    mean = mean_settlement_mm(load_kn * 1000, length**2, stiffness)
    rotation = load_kn * 1000 * e / (stiffness * length * length**3 / 12)

    assert edge_difference_mm(mean, e, length) == pytest.approx(
        rotation * length, rel=1e-9, abs=1e-12
    )


def test_a_pad_on_twenty_meganewtons():
    # derived by hand: 5.56 mm mean and the same again from edge to edge
    mean = mean_settlement_mm(40e3, 600.0**2, 0.020)

    assert mean == pytest.approx(5.56, abs=0.01)
    assert edge_difference_mm(mean, 50.0, 600.0) == pytest.approx(5.56, abs=0.01)
    with pytest.raises(InvalidInput, match="lifts off"):
        edge_difference_mm(mean, 101.0, 600.0)


def test_a_rigid_circle_on_soil():
    # elastic half-space, derived by hand
    assert circle_settlement_mm(40e3, 300.0, 20.0) == pytest.approx(3.03, abs=0.005)
    assert circle_tilt_mm_m(2e6, 300.0, 20.0) == pytest.approx(2.53, abs=0.005)


def test_settlement_unloads_the_post():
    # derived by hand: 0.4 m limb, 6 m out, E 8.6 GPa: 150 N/mm, 10 mm sheds 1.5 kN
    k = limb_stiffness_n_mm(8600.0, 400.0, 6000.0)

    assert k == pytest.approx(150, abs=0.5)
    assert load_after_settlement_n(8250.0, k, 10.0) == pytest.approx(6750, abs=5)
    assert load_on_spring_n(8250.0, k, 2000.0) == pytest.approx(7670, abs=10)
    assert load_on_spring_n(8250.0, k, 200.0) == pytest.approx(4710, abs=10)


def test_ten_millimetres_shed_six_kilonewtons_of_a_stout_limb():
    # by hand: 0.5 m limb, E 8 GPa, 5 m out: 0.59 kN/mm
    k = limb_stiffness_n_mm(8000.0, 500.0, 5000.0)

    assert k == pytest.approx(590, abs=2)
    assert 20e3 - load_after_settlement_n(20e3, k, 10.0) == pytest.approx(5890, abs=20)


@given(st.floats(100.0, 1e5), st.floats(10.0, 1000.0), st.floats(0.0, 200.0))
def test_a_gap_opens_when_the_post_carries_nothing(load, k, settled):
    left, gap = load_after_settlement_n(load, k, settled), gap_mm(load, k, settled)

    assert left == 0.0 or gap == 0.0
    assert left - k * gap == pytest.approx(load - k * settled, abs=1e-6)


def test_slowing_readings_follow_the_logarithm_and_steady_ones_do_not():
    # by hand: s = 3 + 2.5 log10 t gives 6.693 mm at 30 y
    t = np.array([0.5, 1.0, 2.0, 4.0, 8.0])

    law = fit_settlement(t, 3.0 + 2.5 * np.log10(t))

    assert law.shape is Shape.LOGARITHM
    assert settled_mm(law, 30.0) == pytest.approx(6.693, abs=0.005)
    steady = fit_settlement(t, 1.0 + 0.5 * t)
    assert steady.shape is Shape.LINE


def test_a_logarithm_that_fits_no_better_is_not_used():
    t = np.array([0.5, 1.0, 2.0, 4.0, 8.0])
    scattered = 1.0 + 0.3 * t + np.array([0.3, -0.3, 0.3, -0.3, 0.1])

    law = fit_settlement(t, scattered)

    assert law.shape is Shape.LINE
    assert "does not fit clearly better" in law.reason


def test_a_newest_step_faster_than_the_logarithm_is_not_creep():
    # by hand: eleven readings on the logarithm, then a jump of 1 mm
    t = np.array([0.25, 0.35, 0.5, 0.7, 1.0, 1.5, 2.0, 3.0, 5.0, 8.0, 12.0, 14.0])
    jumped = 8.0 + 8.0 * np.log10(t)
    jumped[-1] += 1.0

    law = fit_settlement(t, jumped)

    assert law.shape is Shape.LINE
    assert "newest step is faster" in law.reason


def test_a_straight_line_through_slowing_readings_cries_wolf():
    # by hand: least-squares line through the same five readings gives 13.548 mm
    t = np.array([0.5, 1.0, 2.0, 4.0, 8.0])
    few = fit_settlement(t[3:], 3.0 + 2.5 * np.log10(t[3:]))
    pace, start = np.polyfit(t, 3.0 + 2.5 * np.log10(t), 1)

    assert few.shape is Shape.LINE
    assert start + 30 * pace == pytest.approx(13.548, abs=0.005)
    assert "fewer than four" in few.reason


def test_one_reading_is_no_law():
    with pytest.raises(InsufficientData, match="Two settlement readings"):
        fit_settlement(np.array([1.0]), np.array([2.0]))
