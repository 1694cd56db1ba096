"""A support that lets go after decades of rest is followed, not explained away."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.trends import (
    About,
    LawSet,
    LookRule,
    Readings,
    Series,
    outlooks,
    reading_note,
    sentence,
)

TODAY = date(2026, 11, 25)
SD = 0.9
LIMIT = 6.7
CALM_YEARS = 30


def letting_go(*lately, law_set=LawSet.GROUND):
    """Return the outlook after thirty calm years and readings half a year apart."""
    luck = np.random.default_rng(41)
    calm = np.abs(SD / 2 * luck.normal(size=CALM_YEARS))
    t = np.concatenate(
        [np.arange(CALM_YEARS), CALM_YEARS - 0.5 + 0.5 * np.arange(1, len(lately) + 1)]
    )
    y = np.concatenate([calm, lately])
    series = replace(
        Series.simple(np.array([LIMIT]), np.array([t[-1]])),
        law_set=np.array([int(law_set)]),
    )
    readings = Readings.simple(np.zeros(t.size, dtype=int), t, y, np.array(SD))
    return outlooks(readings, series)


def told(found):
    now = CALM_YEARS + 0.5
    return sentence(found.one(0), About("mm/m", "6.7 mm/m", now), TODAY)


def test_two_readings_past_the_limit_are_believed_though_nothing_moved_for_decades():
    found = letting_go(7.2, 14.4)

    assert found.act_years[0, 0] == 0.0
    assert found.act_beyond[0] > 0.95
    assert found.level[0, 0] > LIMIT
    assert not found.newest_unconfirmed[0]
    assert np.all(found.weight[-2:] > 0.5)


@pytest.mark.parametrize("law_set", list(LawSet))
def test_the_pace_of_a_runaway_is_that_of_its_last_readings_under_every_law(law_set):
    found = letting_go(7.0, 14.0, 21.0, 28.0, law_set=law_set)

    low, middle, high = found.rate[:, 0]
    assert low < 14.0 < high
    assert middle == pytest.approx(14.0, rel=0.2)
    assert found.level[1, 0] == pytest.approx(28.0, abs=2 * SD)


def test_a_runaway_is_not_told_as_a_jump():
    assert "jump" not in told(letting_go(7.0, 14.0, 21.0, 28.0))


def test_a_knock_that_stays_where_it_is_is_told_as_a_jump():
    assert "jump" in told(letting_go(12.0, 12.4, 11.8, 12.1))


def test_one_stray_reading_counts_little_but_says_what_it_would_mean():
    found = letting_go(14.4)

    assert found.newest_unconfirmed[0]
    assert found.weight[-1] < 0.05
    assert found.level[2, 0] < LIMIT
    assert found.level_if_right[1, 0] == pytest.approx(14.4, abs=2 * SD)
    assert found.act_years_if_right[0, 0] == 0.0
    assert "if it is right, 6.7 mm/m may be reached already" in told(found)
    assert found.look_years[0] <= 0.0
    assert found.look_rule[0] == LookRule.UNCONFIRMED


def test_a_stray_reading_among_calm_ones_makes_no_movement():
    found = letting_go(14.4, 0.4, 0.6, 0.3)

    assert found.weight[-4] < 0.05
    assert found.level[2, 0] < 2 * SD
    assert "please repeat" in reading_note(float(found.weight[-4]), TODAY)


def test_strays_to_both_sides_do_not_confirm_each_other():
    found = letting_go(14.4, -13.0, 0.6, 0.3)

    assert np.all(found.weight[-4:-2] < 0.05)
    assert found.level[2, 0] < LIMIT


@given(
    pace=st.floats(6.0, 60.0), count=st.integers(2, 6), law_set=st.sampled_from(LawSet)
)
def test_no_runaway_past_its_limit_is_told_to_be_safe(pace, count, law_set):
    """Past the limit by more than three sds, twice in a row."""
    lately = LIMIT + 3 * SD + pace * np.arange(count)

    found = letting_go(*lately, law_set=law_set)

    assert found.act_years[0, 0] == 0.0
    assert found.act_beyond[0] > 0.5
