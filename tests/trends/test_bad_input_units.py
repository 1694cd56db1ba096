"""A series in centimetres among millimetres, and what must not be taken for one."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.trends import Readings, Series
from monitor.trends.doubted import doubted_units, usual_levels

YEARS = np.arange(6.0)
SD = 0.14


def walls(rows):
    """Series of six readings, one row each, of one group."""
    rows = np.atleast_2d(rows)
    n, many = rows.shape
    index = np.repeat(np.arange(n), many)
    t = np.tile(YEARS[:many], n)
    series = Series.simple(np.full(n, 4.0), np.full(n, 6.0))
    return Readings.simple(index, t, rows.ravel(), np.array(SD)), series


def sound(n=20, seed=0, middle=6.3, spread=0.1):
    rng = np.random.default_rng(seed)
    level = middle * np.exp(spread * rng.normal(size=(n, 1)))
    return level + 0.1 * rng.normal(size=(n, 6))


USUAL = usual_levels(*walls(sound()))


def doubt(rows):
    return doubted_units(*walls(rows), USUAL)


@given(st.integers(0, 500))
def test_a_sound_fleet_is_not_doubted(seed):
    found = doubt(sound(seed=seed))

    assert np.all(found.series == 1.0)
    assert np.all(found.reading == 1.0)


@pytest.mark.parametrize("factor", [0.1, 10.0, 25.4, 304.8, 1000.0])
def test_a_series_in_another_unit_is_doubted_by_its_factor(factor):
    found = doubt(factor * sound(1, seed=3, spread=0.0))

    assert found.series == pytest.approx([factor])
    assert np.all(found.reading == 1.0)  # they agree with one another


@pytest.mark.parametrize("times", [0.5, 0.3, 3.0, 5.0])
def test_a_thin_or_a_thick_wall_is_no_other_unit(times):
    found = doubt(times * sound(1, seed=3, spread=0.0))

    assert found.series == pytest.approx([1.0])


def test_a_tenth_part_of_a_fleet_does_not_shift_what_is_usual():
    rows = sound(40)
    rows[:4] /= 10.0

    found = doubted_units(*walls(rows), usual_levels(*walls(rows)))

    assert np.flatnonzero(found.series != 1.0).tolist() == [0, 1, 2, 3]


def test_a_group_that_is_wide_by_nature_is_not_judged():
    wide = walls(sound(40, middle=30.0, spread=1.2))

    found = doubted_units(*wide, usual_levels(*wide))

    assert np.all(found.series == 1.0)


def test_a_group_near_zero_is_not_judged():
    """Settlements begin at nothing: a large one is an alarm and no other unit."""
    rows = np.abs(np.random.default_rng(1).normal(size=(40, 6))) * 0.2
    rows[0] = 14.0

    assert usual_levels(*walls(rows)) == {}


def test_seven_series_are_too_few_to_say_what_is_usual():
    assert usual_levels(*walls(sound(7))) == {}
    assert list(usual_levels(*walls(sound(8)))) == [0]


@pytest.mark.parametrize("place", range(6))
def test_one_reading_in_another_unit_is_found_by_its_neighbours(place):
    row = np.array([6.3, 6.2, 6.3, 6.1, 6.2, 6.1])
    row[place] *= 10.0

    found = doubt(row)

    assert np.flatnonzero(found.reading != 1.0).tolist() == [place]
    assert found.reading[place] == pytest.approx(10.0)
    assert found.series == pytest.approx([1.0])


def test_a_closing_wound_is_not_a_series_of_mistakes():
    found = doubt([34.0, 32.0, 24.0, 12.0, 5.0, 1.0])

    assert np.all(found.reading == 1.0)


def test_two_readings_can_not_tell_which_of_them_is_wrong():
    assert np.all(doubt([0.62, 6.2]).reading == 1.0)


def test_what_is_no_number_is_not_doubted_and_does_no_harm():
    rows = sound(20)
    rows[3] = [np.nan, np.inf, 0.0, -6.2, 6.2, 6.2]

    found = doubted_units(*walls(rows), usual_levels(*walls(rows)))

    assert np.all(np.isfinite(found.series))
    assert np.all(np.isfinite(found.reading))
