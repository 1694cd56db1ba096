"""Leaning posts in both ways of being held, plumb limits, threads and screws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_bvp

from monitor.errors import InvalidInput
from monitor.mechanics import columns_aisc as aisc
from monitor.mechanics import lean, screw
from tests.mechanics.checks.units import INCH, KIP

# HSS4x4x1/4, AISC Manual table 1-12
AREA, RADIUS = 3.37 * INCH**2, 1.52 * INCH
HEIGHT = 144 * INCH
LOAD = 10 * KIP


def test_the_secant_formula_is_the_column_equation_solved():
    # oracle: y'' + (P/EI)(y + e) = 0 between pinned ends
    load, e, half = LOAD, INCH, 2 * INCH
    k2 = load / (aisc.MODULUS_MPA * AREA * RADIUS**2)
    x = np.linspace(0.0, HEIGHT, 51)
    solution = solve_bvp(
        lambda _, y: np.vstack([y[1], -k2 * (y[0] + e)]),
        lambda start, end: np.array([start[0], end[0]]),
        x,
        np.zeros((2, x.size)),
        tol=1e-8,
    )
    bow = float(solution.sol(HEIGHT / 2)[0])
    mean = load / AREA
    exact = mean * (1 + (e + bow) * half / RADIUS**2)

    found = lean.secant_stress_mpa(
        mean, e * half / RADIUS**2, aisc.elastic_stress_mpa(HEIGHT / RADIUS)
    )

    assert found == pytest.approx(exact, rel=1e-5)


@given(st.floats(0.0, 250.0))
def test_degrees_and_millimetres_a_metre_lead_back(mm_m):
    assert lean.tilt_mm_m(lean.tilt_deg(mm_m)) == pytest.approx(mm_m, abs=1e-9)


def test_a_load_at_eulers_can_not_stand():
    with pytest.raises(InvalidInput, match="can not stand"):
        lean.secant_stress_mpa(100.0, 1.0, 100.0)


def test_own_weight_bends_a_leaning_post_four_times_more_when_free():
    # derived by hand: w h^2 sin(t)/8 and /2
    held = lean.own_weight_held_nmm(18.2, 3657.6, 10.0)
    free = lean.own_weight_free_nmm(18.2, 3657.6, 10.0)

    line = 18.2 * 9.80665 / 1000
    assert held == pytest.approx(line * 3657.6**2 * 0.01 / 8, rel=1e-4)
    assert free == pytest.approx(4 * held)


def test_what_is_not_recorded_counts_as_free():
    assert lean.restraint_of(None) is lean.Restraint.FREE
    assert lean.restraint_of(lean.Restraint.HELD) is lean.Restraint.HELD


@pytest.mark.parametrize("tilt", [-1.0, 300.0])
def test_a_tilt_beyond_a_leaning_post_is_refused(tilt):
    with pytest.raises(InvalidInput, match="tilt"):
        lean.head_offset_mm(3000.0, tilt)


@given(st.floats(20.0, 400.0), st.floats(1.0, 200.0))
def test_winding_a_jack_out_never_strengthens_it(exposed, further):
    near = screw.screw_allowable_n(25.7, exposed, 250.0)

    assert screw.screw_allowable_n(25.7, exposed + further, 250.0) <= near


def test_a_pitch_that_leaves_no_core_is_refused():
    with pytest.raises(InvalidInput, match="core of the thread"):
        screw.root_diameter_mm(3.0, 3.5)
