"""Footings and settlement: identities and brute integration; values in `checks/`."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import fsolve

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.footing import (
    Soil,
    contact_length_mm,
    corner_pressure_kpa,
    edge_pressures_kpa,
    footing_use,
    presumed_kpa,
    uneven_ground,
)
from monitor.mechanics.screening import CAUTION
from monitor.mechanics.settlement import (
    Shape,
    edge_difference_mm,
    fit_settlement,
    gap_mm,
    load_after_settlement_n,
    mean_settlement_mm,
)
from tests.mechanics.checks.posts import PAD


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


def test_a_load_beside_the_plate_overturns():
    with pytest.raises(InvalidInput, match="overturns"):
        edge_pressures_kpa(40e3, PAD, 300.0)


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


@given(st.floats(1.0, 100.0), st.floats(0.0, 100.0), st.floats(1e-3, 0.1))
def test_the_tilt_of_a_plate_on_springs_needs_no_spring(load_kn, e, stiffness):
    # derived by hand: edge difference over mean settlement is 12 e / L
    length = 600.0
    mean = mean_settlement_mm(load_kn * 1000, length**2, stiffness)
    rotation = load_kn * 1000 * e / (stiffness * length * length**3 / 12)

    assert edge_difference_mm(mean, e, length) == pytest.approx(
        rotation * length, rel=1e-9, abs=1e-12
    )


@given(st.floats(100.0, 1e5), st.floats(10.0, 1000.0), st.floats(0.0, 200.0))
def test_a_gap_opens_when_the_post_carries_nothing(load, k, settled):
    left, gap = load_after_settlement_n(load, k, settled), gap_mm(load, k, settled)

    assert left == 0.0 or gap == 0.0
    assert left - k * gap == pytest.approx(load - k * settled, abs=1e-6)


def test_a_plate_that_lifts_off_is_refused():
    with pytest.raises(InvalidInput, match="lifts off"):
        edge_difference_mm(5.56, 101.0, 600.0)


def test_slowing_readings_follow_the_logarithm_and_steady_ones_do_not():
    t = np.array([0.5, 1.0, 2.0, 4.0, 8.0])

    assert fit_settlement(t, 3.0 + 2.5 * np.log10(t)).shape is Shape.LOGARITHM
    assert fit_settlement(t, 1.0 + 0.5 * t).shape is Shape.LINE


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


def test_too_few_readings_are_no_logarithm():
    t = np.array([4.0, 8.0])

    few = fit_settlement(t, 3.0 + 2.5 * np.log10(t))

    assert few.shape is Shape.LINE
    assert "fewer than four" in few.reason


def test_one_reading_is_no_law():
    with pytest.raises(InsufficientData, match="Two settlement readings"):
        fit_settlement(np.array([1.0]), np.array([2.0]))
