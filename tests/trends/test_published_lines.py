"""Least-squares lines against certified and published results."""

from fractions import Fraction
from importlib import resources

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st

from monitor.trends.plain import least_squares, through_origin
from tests.trends.data import columns

NORRIS = {  # NIST Statistical Reference Datasets, Norris, certified
    "intercept": -0.262323073774029,
    "slope": 1.00211681802045,
    "intercept_sd": 0.232818234301152,
    "slope_sd": 0.429796848199937e-03,
    "sd": 0.884796396144373,
}
PONTIUS_CURVE = -0.316081871345029e-14  # NIST, Pontius, B2, certified
PONTIUS_CURVE_SD = 0.486652849992036e-16
PONTIUS_SD = 0.205177424076185e-03
NOINT1_SLOPE = 2.07438016528926  # NIST, NoInt1, certified
NOINT1_SLOPE_SD = 0.165289256198347e-01
NOINT1_SD = 3.56753034006338


def norris():
    text = resources.files("scipy.stats").joinpath(
        "tests/data/nist_linregress/Norris.dat"
    )
    rows = [r.split() for r in text.read_text().splitlines()[60:] if r.strip()]
    y, x = np.array(rows, dtype=float).T
    return x, y


def exact_line(x, y):
    """Intercept and slope in fractions: no rounding at all."""
    x, y = ([Fraction(repr(v)) for v in column.tolist()] for column in (x, y))
    n, sx, sy = len(x), sum(x), sum(y)
    sxx, sxy = sum(v * v for v in x), sum(a * b for a, b in zip(x, y, strict=True))
    slope = (n * sxy - sx * sy) / (n * sxx - sx * sx)
    return float((sy - slope * sx) / n), float(slope)


def test_the_certified_line_of_norris_is_the_exact_one():
    intercept, slope = exact_line(*norris())

    assert intercept == pytest.approx(NORRIS["intercept"], rel=1e-14)
    assert slope == pytest.approx(NORRIS["slope"], rel=1e-14)


@pytest.mark.parametrize("name", NORRIS)
def test_the_line_of_norris_is_certified(name):
    line = least_squares(*norris())

    assert getattr(line, name) == pytest.approx(NORRIS[name], rel=1e-11)


def test_a_calendar_of_thousands_of_years_costs_no_digits():
    x, y = norris()

    line = least_squares(x + 2.0**20, y)

    assert line.slope == pytest.approx(NORRIS["slope"], rel=1e-11)
    assert line.sd == pytest.approx(NORRIS["sd"], rel=1e-10)


def test_the_curve_of_pontius_is_what_two_lines_leave_over():
    """Coefficient of x^2 by partial regression (Frisch and Waugh 1933)."""
    x, y = columns("pontius")
    left = [v - least_squares(x, v).at(x) for v in (x * x, y)]

    curve = through_origin(*left)

    df = np.sqrt(curve.df / (len(x) - 3))
    assert curve.slope == pytest.approx(PONTIUS_CURVE, rel=1e-9)
    assert curve.slope_sd * df == pytest.approx(PONTIUS_CURVE_SD, rel=1e-9)
    assert curve.sd * df == pytest.approx(PONTIUS_SD, rel=1e-9)


def test_the_line_through_the_origin_of_noint1_is_certified():
    x = np.arange(60.0, 71.0)

    line = through_origin(x, x + 70.0)

    assert line.slope == pytest.approx(NOINT1_SLOPE, rel=1e-14)
    assert line.slope_sd == pytest.approx(NOINT1_SLOPE_SD, rel=1e-13)
    assert line.sd == pytest.approx(NOINT1_SD, rel=1e-13)
    assert float(line.intercept) == 0.0
    assert float(line.intercept_sd) == 0.0


def test_the_stopping_distances_of_cars():
    """As printed by R 4, `summary(lm(dist ~ speed, cars))` (from memory)."""
    line = least_squares(*columns("cars"))

    assert line.intercept == pytest.approx(-17.5791, abs=5e-5)
    assert line.intercept_sd == pytest.approx(6.7584, abs=5e-5)
    assert line.slope == pytest.approx(3.9324, abs=5e-5)
    assert line.slope_sd == pytest.approx(0.4155, abs=5e-5)
    assert line.sd == pytest.approx(15.38, abs=5e-3)
    assert line.df == 48


def test_where_a_car_at_21_miles_an_hour_stops():
    """As R's `predict(lm(dist ~ speed, cars), interval = ...)` (from memory)."""
    line = least_squares(*columns("cars"))
    at = np.array(21.0)

    assert line.at(at) == pytest.approx(65.00149, abs=5e-6)
    assert line.level_interval(at, 0.95) == pytest.approx(
        (58.59738, 71.40559), abs=1e-5
    )
    assert line.reading_interval(at, 0.95) == pytest.approx(
        (33.42257, 96.58040), abs=1e-5
    )


def test_the_phone_calls_mislead_a_least_squares_line():
    """Rousseeuw and Leroy 1987, p. 26: y = 5.04 x - 260.06."""
    line = least_squares(*columns("phone_calls"))

    assert line.slope == pytest.approx(5.041, abs=5e-4)
    assert line.intercept == pytest.approx(-260.059, abs=5e-4)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(3, 30))
def test_lines_are_those_of_statsmodels(seed, n):
    rng = np.random.default_rng(seed)
    t, y = rng.uniform(0.0, 40.0, (4, n)), rng.normal(size=(4, n))
    at = np.full(4, 45.0)

    line = least_squares(t, y)

    for i in range(4):
        fit = sm.OLS(y[i], sm.add_constant(t[i])).fit()
        ahead = fit.get_prediction([[1.0, 45.0]]).summary_frame(alpha=0.1)
        low, high = line.slope_interval(0.9)
        np.testing.assert_allclose(
            [low[i], high[i]], fit.conf_int(0.1)[1], rtol=1e-8, atol=1e-10
        )
        got = [ends[i] for ends in line.reading_interval(at, 0.9)]
        want = [ahead["obs_ci_lower"].iloc[0], ahead["obs_ci_upper"].iloc[0]]
        np.testing.assert_allclose(got, want, rtol=1e-8, atol=1e-9)


def test_two_readings_make_a_line_and_no_interval():
    line = least_squares(np.array([0.0, 2.0]), np.array([1.0, 4.0]))

    assert line.slope == 1.5
    assert np.isnan(line.slope_interval(0.9)).all()


def test_readings_of_one_moment_make_no_line():
    line = least_squares(np.ones(5), np.arange(5.0))

    assert np.isnan(line.slope)
    assert np.isnan(line.slope_interval(0.9)).all()
