"""What must not change the answer: units, shifts, order, neighbours, block size."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from monitor.trends import Hyper, Readings, Series, block, outlooks
from monitor.trends.bench.worlds import REAL, simulate

SHAPES = ("level", "rate", "next_now", "next_year")
FREE = ("act_years", "evidence", "classes", "act_beyond", "look_years", "step_evidence")


def fleet(n=12, many=8, seed=0):
    truth = simulate(REAL, n, many, np.random.default_rng(seed))
    return truth.readings(), truth.series()


def same(before, after, names, *, factor=1.0, add=0.0, rtol=1e-6):
    for name in names:
        wanted = factor * getattr(before, name) + add
        np.testing.assert_allclose(
            getattr(after, name), wanted, rtol=rtol, atol=1e-7, err_msg=name
        )


@settings(max_examples=12)
@given(st.integers(0, 1000), st.floats(0.01, 1000.0))
def test_a_change_of_unit_changes_numbers_and_nothing_else(seed, factor):
    readings, series = fleet(seed=seed)
    other = replace(
        readings,
        value=factor * readings.value,
        sd_instrument=factor * readings.sd_instrument,
    )
    scaled = replace(series, act=factor * series.act, scale=factor * series.scale)

    before, after = outlooks(readings, series), outlooks(other, scaled)

    for name in SHAPES:
        np.testing.assert_allclose(
            getattr(after, name) / factor, getattr(before, name), rtol=1e-6, atol=1e-6
        )
    same(before, after, FREE)


@settings(max_examples=12)
@given(st.integers(0, 1000), st.floats(-500.0, 500.0))
def test_a_shift_of_the_zero_shifts_levels_and_nothing_else(seed, shift):
    readings, series = fleet(seed=seed)
    moved = replace(readings, value=readings.value + shift)

    before = outlooks(readings, series)
    after = outlooks(moved, replace(series, act=series.act + shift))

    same(before, after, ("level", "next_now", "next_year"), add=shift)
    same(before, after, ("rate", *FREE))


@settings(max_examples=12)
@given(st.integers(0, 1000), st.floats(-30.0, 30.0))
def test_the_steady_law_has_no_birthday(seed, years):
    readings, series = fleet(seed=seed)
    later = replace(readings, t_years=readings.t_years + years)

    before = outlooks(readings, series)
    after = outlooks(later, replace(series, now_years=series.now_years + years))

    same(before, after, (*SHAPES, *FREE))


def test_a_mirror_image_moves_the_other_way():
    readings, series = fleet(30)
    down = replace(readings, value=-readings.value)
    mirrored = replace(series, act=-series.act, direction=-series.direction)

    before, after = outlooks(readings, series), outlooks(down, mirrored)

    np.testing.assert_allclose(after.rate, -before.rate[::-1], atol=1e-9)
    same(before, after, FREE)


def test_the_order_of_the_series_does_not_matter():
    readings, series = fleet(20)
    order = np.random.default_rng(1).permutation(20)
    place = np.argsort(order)
    shuffled = replace(readings, series=place[readings.series])
    shuffled = shuffled.take(np.argsort(shuffled.series, kind="stable"))

    before, after = outlooks(readings, series), outlooks(shuffled, series.take(order))

    for name in (*SHAPES, *FREE):
        np.testing.assert_allclose(
            getattr(after, name), getattr(before, name)[..., order], rtol=1e-9
        )


def test_neighbours_do_not_matter():
    readings, series = fleet(20)

    together = outlooks(readings, series)
    alone = outlooks(readings.take(readings.series == 0), series.take(np.arange(1)))

    for name in (*SHAPES, *FREE):
        one, many = getattr(alone, name)[..., 0], getattr(together, name)[..., 0]
        np.testing.assert_allclose(one, many, rtol=1e-9, atol=1e-12)


@pytest.mark.parametrize("size", [1, 3, 7])
def test_the_size_of_a_block_does_not_matter(monkeypatch, size):
    readings, series = fleet(20)
    before = outlooks(readings, series)

    monkeypatch.setattr(block, "BLOCK_SIZE", size)
    after = outlooks(readings, series)

    same(before, after, (*SHAPES, *FREE), rtol=1e-9)


def test_lengths_do_not_mix():
    truth = simulate(REAL, 9, 12, np.random.default_rng(0))
    keep = np.arange(12) < np.array([1, 2, 3, 4, 6, 8, 10, 11, 12])[:, None]
    readings = truth.readings(keep)
    last = np.array([t[k][-1] for t, k in zip(truth.t, keep, strict=True)])
    series = replace(truth.series(), now_years=last)

    together = outlooks(readings, series)

    for i in range(9):
        mine = readings.take(readings.series == i)
        mine = replace(mine, series=np.zeros(len(mine), dtype=int))
        alone = outlooks(mine, series.take(np.array([i])))
        for name in (*SHAPES, *FREE):
            np.testing.assert_allclose(
                getattr(alone, name)[..., 0],
                getattr(together, name)[..., i],
                rtol=1e-9,
                atol=1e-12,
                err_msg=name,
            )


def series_of(n, act=15.0, now=10.0):
    return Series.simple(np.full(n, act), np.full(n, now))


def test_ten_readings_on_one_day_are_one_better_reading():
    readings = Readings.simple(
        np.zeros(10, dtype=int), np.zeros(10), np.arange(10.0), np.array(1.0)
    )
    readings = replace(readings, sd_placement=np.full(10, 0.5))

    outlook = outlooks(readings, series_of(1, now=0.0)).one(0)

    assert outlook.readings == 1
    assert outlook.level[1] == pytest.approx(4.5, abs=0.05)
    width = outlook.level[2] - outlook.level[0]
    assert width < 2 * 1.65 * 1.0  # narrower than one reading, wider than no noise
    assert width > 2 * 1.64 * 0.5


def test_equal_readings_do_not_claim_more_than_the_scale_resolves():
    t = np.arange(10.0)
    readings = Readings.simple(np.zeros(10, dtype=int), t, np.ones(10), np.array(0.01))
    coarse = replace(readings, resolution=np.full(10, 0.5))

    outlook = outlooks(coarse, series_of(1, now=9.0)).one(0)

    assert outlook.rate[2] >= 0.5 / 9.0
    assert outlook.rate[0] <= -0.5 / 9.0


def test_a_reading_below_a_bound_says_less_than_a_reading():
    t = np.array([0.0, 1.0, 2.0, 3.0])
    plain = Readings.simple(
        np.zeros(4, dtype=int), t, np.array([0.1, 0.1, 0.1, 0.1]), np.array(0.05)
    )
    below = replace(plain, relation=np.array([-1, -1, -1, 0]))
    series = replace(series_of(1, act=2.0, now=3.0), floor=np.zeros(1))

    known, bounded = outlooks(plain, series).one(0), outlooks(below, series).one(0)

    assert bounded.rate[1] > known.rate[1]
    assert bounded.rate[2] > known.rate[2]


def test_a_new_instrument_is_an_offset_and_not_a_movement():
    t = np.arange(10.0)
    y = np.where(t < 5, 0.0, 2.0) + 0.1 * np.cos(7 * t)
    readings = Readings.simple(np.zeros(10, dtype=int), t, y, np.array(0.3))
    series = series_of(1, now=9.0)

    blind = outlooks(readings, series).one(0)
    told = outlooks(replace(readings, instrument=(t >= 5).astype(int)), series).one(0)

    assert told.evidence < blind.evidence


def test_ten_thousand_readings_of_a_logger_are_thinned_and_answered():
    rng = np.random.default_rng(0)
    n = 10_000
    t = np.sort(rng.uniform(0.0, 10.0, n))
    y = 0.3 * t + 0.5 * rng.normal(size=n)
    readings = Readings.simple(np.zeros(n, dtype=int), t, y, np.array(0.5))
    readings = replace(readings, sd_placement=np.full(n, 0.05))

    outlook = outlooks(readings, series_of(1)).one(0)

    assert outlook.readings <= 260
    assert outlook.rate[0] < 0.3 < outlook.rate[2]


def test_a_carried_slope_is_believed_before_new_readings_come():
    readings = Readings.simple(
        np.zeros(1, dtype=int), np.zeros(1), np.zeros(1), np.array(0.5)
    )
    series = series_of(1, now=0.0)
    carried = replace(series, carried_rate=np.array([1.0]), carried_sd=np.array([0.1]))

    assert outlooks(readings, carried).one(0).rate[1] == pytest.approx(1.0, abs=0.1)
    assert outlooks(readings, series).one(0).rate[1] == pytest.approx(0.0, abs=0.01)


def test_a_closed_wound_is_not_narrower_than_nothing():
    t = np.arange(8.0)
    readings = Readings.simple(
        np.zeros(8, dtype=int), t, np.maximum(20.0 - 4.0 * t, 0.0), np.array(0.5)
    )
    series = replace(series_of(1, act=30.0, now=7.0), floor=np.zeros(1))

    outlook = outlooks(readings, series, Hyper()).one(0)

    assert min(outlook.level + outlook.next_year) >= 0.0
