"""Leaning posts in both ways of being held, plumb limits, threads and screws."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_bvp

from monitor.errors import InvalidInput
from monitor.mechanics import columns_aisc as aisc
from monitor.mechanics import lean, screw

INCH = 25.4
KIP = 4448.2216  # N
KSI = 6.894757

# HSS4x4x1/4, AISC Manual table 1-12
AREA, INERTIA, RADIUS, PLASTIC = 3.37 * INCH**2, 7.80 * INCH**4, 1.52 * INCH, 4.69
HEIGHT = 144 * INCH
LOAD = 10 * KIP
YIELD = 50 * KSI


def used(restraint, moment_nmm, amplifier):
    effective = lean.length_factor(restraint) * HEIGHT
    nominal = aisc.nominal_axial_n(AREA, effective / RADIUS, YIELD)
    moment = YIELD * PLASTIC * INCH**3 / aisc.OMEGA
    return aisc.interaction(
        LOAD / (nominal / aisc.OMEGA), amplifier * moment_nmm / moment
    )


@pytest.mark.parametrize(("eccentricity_in", "expected"), [(0, 0.096), (1, 0.167)])
def test_a_held_post_bends_by_its_saddle_only(eccentricity_in, expected):
    # worked by hand from AISC 360 E3 and H1, ASD
    moment = lean.held_moment_nmm(LOAD, eccentricity_in * INCH)
    euler = aisc.euler_n(INERTIA, HEIGHT)
    amplifier = aisc.end_moment_amplifier(LOAD, euler, aisc.ASD_ALPHA)

    found = used(lean.Restraint.HELD, moment, amplifier)

    assert amplifier == 1.0
    assert found == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize(
    ("tilt_mm_m", "expected"), [(2.0, 0.834), (10.0, 1.046), (20.0, 1.310)]
)
def test_a_free_post_bends_by_the_offset_of_its_head(tilt_mm_m, expected):
    # worked by hand from AISC 360 E3 and H1, ASD, K 2.1
    offset = lean.head_offset_mm(HEIGHT, tilt_mm_m)
    moment = lean.free_moment_nmm(LOAD, offset, 0.0)
    euler = aisc.euler_n(INERTIA, 2.1 * HEIGHT)
    amplifier = aisc.amplifier(LOAD, euler, aisc.ASD_ALPHA)

    found = used(lean.Restraint.FREE, moment, amplifier)

    assert amplifier == pytest.approx(2.90, abs=0.01)
    assert found == pytest.approx(expected, abs=0.003)


def test_the_secant_formula_is_the_column_equation_solved():
    # oracle: y'' + (P/EI)(y + e) = 0 between pinned ends; 5.86 ksi worked by hand
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
    assert found / KSI == pytest.approx(5.86, abs=0.01)


def test_a_load_at_eulers_can_not_stand():
    with pytest.raises(InvalidInput, match="can not stand"):
        lean.secant_stress_mpa(100.0, 1.0, 100.0)


def test_two_axes_make_one_tilt():
    # by hand: 1.2 and 0.9 deg give 1.50 deg; (4, 3) mm/m gives 5 mm/m
    x, y = lean.tilt_mm_m(1.2), lean.tilt_mm_m(0.9)

    assert lean.tilt_deg(lean.total_tilt_mm_m(x, y)) == pytest.approx(1.50, abs=0.005)
    assert lean.total_tilt_mm_m(4.0, 3.0) == 5.0


@pytest.mark.parametrize(
    ("mm_m", "degrees"),
    [
        (2.0, 0.1146),  # AISC 303 7.13.1.1: 1/500
        (1000 / 150, 0.3820),  # EN 1997-1 annex H: 1/150
        (2.5, 0.1432),  # 0.25 % plumb
        (17.455, 1.0),  # by hand
        (5.0, 0.2865),  # by hand: 12 mm over 2.4 m
        (1000 / 300, 0.191),  # EN 1090-2 annex B: 1/300
        (10.0, 0.5729),  # by hand: a plate of 300 mm, corners 3 mm apart
    ],
)
def test_plumb_limits_as_angles(mm_m, degrees):
    assert lean.tilt_deg(mm_m) == pytest.approx(degrees, abs=0.0005)
    assert lean.tilt_mm_m(lean.tilt_deg(mm_m)) == pytest.approx(mm_m)


def test_a_lean_pushes_sideways():
    # by hand: 20 kN x tan 1 deg = 0.349 kN; 10 kip at 1/50 = 0.20 kip
    assert lean.end_thrust_n(20e3, lean.tilt_mm_m(1.0)) == pytest.approx(349, abs=0.5)
    assert lean.end_thrust_n(LOAD, 20.0) / KIP == pytest.approx(0.20)


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


@pytest.mark.parametrize(
    ("diameter", "threads", "printed"),
    [
        # ASME B1.1 as reproduced; 1 1/4-7 from memory
        (0.75, 10, 0.334),
        (0.875, 9, 0.462),
        (1.0, 8, 0.606),
        (1.25, 7, 0.969),
        (1.25, 8, 1.000),
    ],
)
def test_unified_stress_areas(diameter, threads, printed):
    found = screw.unified_stress_area_mm2(diameter * INCH, INCH / threads)

    assert found / INCH**2 == pytest.approx(printed, abs=0.0006)


@pytest.mark.parametrize(
    ("diameter", "pitch", "printed", "root_area"),
    # ISO 898-1 as reproduced; root areas derived by hand
    [(20, 2.5, 245, 225.2), (24, 3.0, 353, 324.3), (30, 3.5, 561, 519.0)],
)
def test_metric_stress_areas(diameter, pitch, printed, root_area):
    root = screw.root_diameter_mm(diameter, pitch)

    assert screw.metric_stress_area_mm2(diameter, pitch) == pytest.approx(
        printed, abs=0.5
    )
    assert math.pi / 4 * root**2 == pytest.approx(root_area, abs=0.1)


def test_stress_areas_unrounded():
    # derived by hand from ISO 898-1 and ASME B1.1
    assert screw.metric_stress_area_mm2(20, 2.5) == pytest.approx(244.8, abs=0.1)
    assert screw.metric_stress_area_mm2(30, 3.5) == pytest.approx(560.6, abs=0.1)
    one_inch = screw.unified_stress_area_mm2(INCH, INCH / 8)
    assert one_inch / INCH**2 == pytest.approx(0.6057, abs=0.0005)


def test_the_stripping_area_of_a_three_quarter_inch_thread():
    # FED-STD-H28/2B worked example as reproduced: 0.910 in2
    thread = screw.StripThread(INCH / 10, 0.75 * INCH, 0.6773 * INCH, 0.663 * INCH)

    assert screw.strip_area_mm2(thread) / INCH**2 == pytest.approx(0.910, abs=0.002)


@pytest.mark.parametrize(
    ("exposed", "expected_kn"), [(150, 482), (300, 120), (450, 53.5)]
)
def test_an_exposed_screw_buckles_as_a_mast(exposed, expected_kn):
    # Euler by hand with the ISO root of M30 and K = 2; those figures take E 205 GPa
    found = screw.screw_euler_n(screw.root_diameter_mm(30, 3.5), exposed)

    assert found / 1000 * 205_000 / aisc.MODULUS_MPA == pytest.approx(
        expected_kn, rel=0.005
    )


@given(st.floats(20.0, 400.0), st.floats(1.0, 200.0))
def test_winding_a_jack_out_never_strengthens_it(exposed, further):
    near = screw.screw_allowable_n(25.7, exposed, 250.0)

    assert screw.screw_allowable_n(25.7, exposed + further, 250.0) <= near


def test_the_overlap_of_a_jack_follows_scaffold_practice():
    # EN 12811-1 from memory: 25 % or 150 mm; turns x pitch by hand
    assert screw.least_overlap_mm(320.0) == 150.0
    assert screw.least_overlap_mm(800.0) == 200.0
    assert screw.overlap_left_mm(320.0, 176.0) == 144.0
    assert screw.lift_mm(2.0, 6.0) == 12.0


def test_a_pitch_that_leaves_no_core_is_refused():
    with pytest.raises(InvalidInput, match="core of the thread"):
        screw.root_diameter_mm(3.0, 3.5)
