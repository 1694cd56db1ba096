"""The plain methods over a whole fleet say what they say of one series."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.trends import Readings
from monitor.trends.plain import least_squares
from monitor.trends.plain_checks import plain_checks
from monitor.trends.plain_ranks import mann_kendall, sen_slopes


def fleet(counts, seed):
    rng = np.random.default_rng(seed)
    index = np.repeat(np.arange(len(counts)), counts)
    t = np.concatenate([np.cumsum(rng.uniform(0.1, 1.0, n)) for n in counts])
    return Readings.simple(index, t, rng.normal(size=index.size), np.array(0.5))


@given(st.integers(0, 1000), st.lists(st.integers(0, 9), min_size=1, max_size=8))
def test_many_series_are_checked_like_each_alone(seed, counts):
    readings = fleet(counts, seed)

    found = plain_checks(readings, len(counts))

    for i, n in enumerate(counts):
        own = readings.take(readings.series == i)
        assert found.readings[i] == n
        if n < 4:
            assert np.isnan([found.sen[i], found.line[i], found.p[i]]).all()
            continue
        sen = sen_slopes(own.t_years, own.value, 0.9)
        low, high = least_squares(own.t_years, own.value).slope_interval(0.9)
        assert found.sen_low[i] <= found.sen[i] == sen.middle
        assert (found.line_low[i], found.line_high[i]) == pytest.approx((low, high))
        assert found.p[i] == mann_kendall(own.t_years, own.value).p


@given(st.integers(0, 1000))
def test_the_order_of_the_readings_does_not_matter(seed):
    readings = fleet([8], seed)
    shuffled = readings.take(np.random.default_rng(seed).permutation(8))

    assert plain_checks(shuffled, 1).p == plain_checks(readings, 1).p


def test_ten_readings_of_one_day_are_one():
    readings = Readings.simple(
        np.zeros(10, dtype=int), np.zeros(10), np.arange(10.0), np.array(0.5)
    )

    found = plain_checks(readings, 1)

    assert found.readings[0] == 1
    assert np.isnan(found.sen[0])


def test_a_reading_that_is_no_number_is_left_out():
    readings = fleet([6], 3)
    readings.value[2] = np.nan

    found = plain_checks(readings, 1)

    assert found.readings[0] == 5
    assert np.isfinite(found.line[0])


def test_a_logger_is_thinned_and_answered():
    readings = fleet([10_000], 1)

    found = plain_checks(readings, 1)

    assert 200 <= found.readings[0] <= 257
    assert found.sen_low[0] < 0.0 < found.sen_high[0]
