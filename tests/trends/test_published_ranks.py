"""Theil-Sen slopes and the Mann-Kendall test against published results."""

from itertools import permutations

import numpy as np
import pymannkendall
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import kendalltau, norm, theilslopes

from monitor.trends.plain import least_squares
from monitor.trends.plain_ranks import mann_kendall, sen_slopes
from tests.trends.data import columns

VISIT_YEARS, WATCHED_YEARS = 0.75, 20.0


def rise(n, s):
    """Readings whose pairs rise s more often than they fall."""
    falls = (n * (n - 1) // 2 - s) // 2
    order, left = [], list(range(n))
    for place in range(n - 1, -1, -1):
        step = min(falls, place)
        falls -= step
        order.append(left.pop(step))
    return np.array(order, dtype=float)


@pytest.mark.parametrize(
    ("n", "s", "tail"),
    [  # Kendall, Rank Correlation Methods, 1975, appendix table 1 (from memory)
        (4, 6, 0.042), (5, 6, 0.117), (5, 10, 0.008), (6, 11, 0.028),
        (8, 16, 0.031), (10, 21, 0.036), (10, 27, 0.008),
    ],
)  # fmt: skip
def test_the_tails_of_the_tables(n, s, tail):
    found = mann_kendall(np.arange(float(n)), rise(n, s))

    assert found.s == s
    assert float(found.p) / 2.0 == pytest.approx(tail, abs=5e-4)


@pytest.mark.parametrize("n", [4, 5, 6, 7])
def test_the_tails_are_those_of_all_orders_counted(n):
    orders = np.array(list(permutations(range(n))), dtype=float)

    found = mann_kendall(np.broadcast_to(np.arange(float(n)), orders.shape), orders)

    for s in np.unique(found.s):
        at_least = np.mean(np.abs(found.s) >= abs(s))
        assert found.p[found.s == s] == pytest.approx(at_least, rel=1e-12)


def test_three_readings_never_reach_one_in_twenty():
    """One order of six rises throughout: 2 * 1/6, by hand."""
    assert mann_kendall(np.arange(3.0), np.arange(3.0)).p == pytest.approx(1 / 3)


def test_five_readings_by_hand():
    """S = 8 rises - 2 falls; Var S = 5*4*15/18; median of ten slopes; by hand."""
    t, y = np.arange(5.0), np.array([5.0, 6.0, 11.0, 8.0, 10.0])

    found, slopes = mann_kendall(t, y), sen_slopes(t, y, 0.9)

    assert found.s == 6.0
    assert found.variance == pytest.approx(50.0 / 3.0)
    assert found.z == pytest.approx(5.0 / np.sqrt(50.0 / 3.0))
    assert found.p == pytest.approx(28 / 120)  # 14 of 120 orders a side
    assert slopes.middle == pytest.approx(1.125)


def test_nine_readings_with_ties_by_hand():
    """Var S = (9*8*23 - 2*1*9 - 3*2*11 - 3*2*11) / 18 = 83.667: 23 twice, 24 and 29
    three times."""
    y = np.array([23.0, 24.0, 29.0, 6.0, 29.0, 24.0, 24.0, 29.0, 23.0])

    found, slopes = mann_kendall(np.arange(9.0), y), sen_slopes(np.arange(9.0), y, 0.9)

    assert found.s == 3.0
    assert found.variance == pytest.approx(1506.0 / 18.0)
    assert found.z == pytest.approx(0.218652, abs=1e-6)
    assert found.p == pytest.approx(0.826921, abs=1e-6)
    assert slopes.middle == 0.0


def test_repeated_times_have_no_slope_between_them():
    """Eight readings at five times: 28 pairs less 4 of one time; median by hand."""
    t = np.array([1.0, 1.0, 1.0, 2.0, 3.0, 3.0, 4.0, 5.0])
    y = np.array([10.0, 22.0, 21.0, 30.0, 22.0, 30.0, 40.0, 40.0])

    assert sen_slopes(t, y, 0.9).middle == pytest.approx(5.5)


def test_one_gross_error_does_not_move_the_slope():
    """Slopes of 15 pairs by hand; ranks 3 and 13 of Sen's equation 2.6 at 90 %."""
    t, y = np.arange(6.0), np.array([1.0, 2.0, 3.0, 4.0, 100.0, 6.0])

    found = sen_slopes(t, y, 0.9)

    assert found.middle == 1.0
    assert found.low == 1.0
    assert found.high == pytest.approx(98.0 / 3.0)


def test_the_phone_calls_do_not_mislead_the_median_of_slopes():
    """Least squares says 5.04 a year (Rousseeuw and Leroy 1987)."""
    year, calls = columns("phone_calls")

    found = sen_slopes(year, calls, 0.95)

    wanted = theilslopes(calls, year, 0.95)
    assert (found.middle, found.low, found.high) == pytest.approx(
        (wanted.slope, wanted.low_slope, wanted.high_slope)
    )
    assert found.middle < 0.3 * least_squares(year, calls).slope


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.integers(4, 25), st.sampled_from(["t", "y"]))
def test_slopes_are_those_of_scipy(seed, n, tied):
    rng = np.random.default_rng(seed)
    t, y = np.sort(rng.uniform(0.0, 9.0, (3, n)), axis=1), rng.normal(size=(3, n))
    t, y = (np.round(t), y) if tied == "t" else (t, np.round(y))
    t[:, -1] += 1.0
    y[:, -1] += 1.0

    found = sen_slopes(t, y, 0.9)

    for i in range(3):
        wanted = theilslopes(y[i], t[i], 0.9)
        got = found.middle[i], found.low[i], found.high[i]
        assert got == pytest.approx(
            (wanted.slope, wanted.low_slope, wanted.high_slope), abs=1e-12
        )


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(11, 30), st.sampled_from([3, 8, 1000]))
def test_the_normal_tails_are_those_of_pymannkendall(seed, n, kinds):
    y = np.random.default_rng(seed).integers(0, kinds, n) * 1.0
    y[0], y[1] = 0.0, 1.0

    found = mann_kendall(np.arange(float(n)), y)

    wanted = pymannkendall.original_test(y)
    assert (found.s, found.variance) == pytest.approx((wanted.s, wanted.var_s))
    assert (found.z, found.p) == pytest.approx((wanted.z, wanted.p), abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(4, 25))
def test_ties_on_both_sides_are_those_of_kendall(seed, n):
    rng = np.random.default_rng(seed)
    t, y = rng.integers(0, 5, n) * 1.0, rng.integers(0, 5, n) * 1.0
    t[:2], y[:2] = (0.0, 1.0), (0.0, 1.0)
    t[2] = t[1]  # a tie for certain, so both answer by the normal distribution

    found = mann_kendall(t, y)

    wanted = kendalltau(t, y, method="asymptotic").pvalue  # no continuity correction
    sd = np.sqrt(found.variance)
    assert 2.0 * norm.sf(abs(found.s) / sd) == pytest.approx(wanted, abs=1e-9)


def test_a_test_repeated_at_each_visit_calls_still_supports_moving():
    """Our own simulation, and the figure of the note beside the plain methods: a
    visit each nine months for twenty years, steady normal noise, 95 % tests."""
    rng = np.random.default_rng(20)
    visits = int(WATCHED_YEARS / VISIT_YEARS) + 1
    t = np.broadcast_to(VISIT_YEARS * np.arange(visits), (1500, visits))
    y = rng.normal(size=t.shape)

    by_line, by_ranks = np.zeros(1500, dtype=bool), np.zeros(1500, dtype=bool)
    for n in range(4, visits + 1):
        low, high = least_squares(t[:, :n], y[:, :n]).slope_interval(0.95)
        by_line |= (low > 0.0) | (high < 0.0)
        by_ranks |= mann_kendall(t[:, :n], y[:, :n]).p < 0.05

    assert 0.35 < by_line.mean() < 0.45
    assert 0.25 < by_ranks.mean() < 0.35
