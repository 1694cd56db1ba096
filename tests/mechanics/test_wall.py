"""The wall: a closed form against brute quadrature, and what readings may do to it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.corrosion import multiplier
from monitor.mechanics.screening import CAUTION
from monitor.mechanics.wall import (
    WallPrior,
    WallReadings,
    checked_wall_mm,
    left_under_pit_mm,
    pit_depth_um,
    rate_prior_um,
    remaining_wall_mm,
    update_wall,
    years_until_wall,
)

PRIOR = WallPrior(6.3, 0.1, 50.0, 25.0, 0.523)
NOTHING = WallReadings(np.array([]), np.array([]), 0.1)


def a_history(*pairs, noise=0.1):
    years, walls = zip(*pairs, strict=True)
    return WallReadings(np.array(years, float), np.array(walls, float), noise)


def test_without_readings_the_law_speaks_alone():
    state = update_wall(PRIOR, NOTHING)

    # derived by hand: rate 50 cut at zero (two spreads away) becomes 51.4;
    # attack after 20 y is 4.791 (ISO 9224 table 3) times the rate
    assert state.rate_um == pytest.approx(51.38, abs=0.01)
    assert remaining_wall_mm(state, 20.0).middle == pytest.approx(
        6.3 - 4.791 * 0.05138, abs=0.001
    )
    assert "No thickness reading" in state.missing[0]
    assert state.caution == CAUTION


def test_the_closed_form_is_the_integral_of_bayes():
    readings = a_history((5.0, 6.15), (15.0, 5.9), (25.0, 5.75))

    state = update_wall(PRIOR, readings)

    # oracle: brute quadrature over wall and rate
    wall = np.linspace(5.7, 6.9, 801)[:, None]
    rate = np.linspace(1e-6, 250.0, 1501)[None, :]
    log_p = stats.norm.logpdf(wall, 6.3, 0.1) + stats.norm.logpdf(rate, 50.0, 25.0)
    for t, y in zip(readings.years, readings.wall_mm, strict=True):
        model = wall - rate * multiplier(float(t), 0.523) / 1000.0
        log_p = log_p + stats.norm.logpdf(y, model, 0.1)
    p = np.exp(log_p - log_p.max())
    p /= p.sum()
    mean_rate, mean_wall = float((p * rate).sum()), float((p * wall).sum())
    assert state.rate_um == pytest.approx(mean_rate, rel=1e-3)
    assert state.wall_mm == pytest.approx(mean_wall, rel=1e-5)
    variance = float((p * (rate - mean_rate) ** 2).sum())
    assert state.rate_var_um2 == pytest.approx(variance, rel=2e-3)
    covariance = float((p * (rate - mean_rate) * (wall - mean_wall)).sum())
    assert state.cov_mm_um == pytest.approx(covariance, rel=5e-3)


def test_readings_win_over_the_law():
    true_rate = 140.0
    ages = np.array([3.0, 8.0, 14.0, 22.0, 30.0])
    walls = 6.3 - true_rate * np.asarray(multiplier(ages, 0.523)) / 1000.0

    state = update_wall(PRIOR, WallReadings(ages, walls, 0.02))

    assert state.rate_um == pytest.approx(true_rate, rel=0.05)


def test_the_date_is_where_the_interval_touches_the_limit():
    state = update_wall(PRIOR, a_history((10.0, 6.1), (20.0, 6.0), noise=0.05))

    age = years_until_wall(state, 5.7)

    assert age.low < age.middle < age.high
    assert remaining_wall_mm(state, age.low).low == pytest.approx(5.7, abs=1e-6)
    assert remaining_wall_mm(state, age.middle).middle == pytest.approx(5.7, abs=1e-6)
    assert remaining_wall_mm(state, age.high).high == pytest.approx(5.7, abs=1e-6)


def test_a_limit_already_passed_is_reached_at_age_nothing():
    state = update_wall(PRIOR, NOTHING)

    assert years_until_wall(state, 6.5).middle == 0.0


def test_a_rate_that_may_be_nothing_has_no_latest_date():
    vague = WallPrior(6.3, 0.1, 20.0, 40.0, 0.523)

    age = years_until_wall(update_wall(vague, NOTHING), 5.0)

    assert np.isfinite(age.low)
    assert age.high == np.inf


def test_growing_metal_is_an_over_reading_and_said_so():
    state = update_wall(PRIOR, a_history((10.0, 6.6), (20.0, 6.9), noise=0.05))

    assert bool(state.read_too_thick)
    assert "read too thick" in state.missing[0]
    assert state.rate_um > 0.0


def test_a_padded_fleet_gives_what_each_member_gives():
    years = np.array([[5.0, 15.0, np.nan], [4.0, np.nan, np.nan]])
    walls = np.array([[6.2, 6.0, np.nan], [4.9, np.nan, np.nan]])
    prior = WallPrior(np.array([6.3, 5.0]), 0.1, np.array([50.0, 30.0]), 20.0, 0.523)

    fleet = update_wall(prior, WallReadings(years, walls, 0.1))

    one = update_wall(
        WallPrior(5.0, 0.1, 30.0, 20.0, 0.523), a_history((4.0, 4.9), noise=0.1)
    )
    assert fleet.rate_um[1] == pytest.approx(one.rate_um, rel=1e-12)
    assert list(fleet.reading_count) == [2.0, 1.0]


@given(st.floats(4.0, 6.3), st.floats(0.01, 0.5), st.floats(1.0, 40.0))
def test_a_thinner_reading_never_leaves_more_wall(reading, thinner, age):
    thick = update_wall(PRIOR, a_history((age, reading)))
    thin = update_wall(PRIOR, a_history((age, reading - thinner)))

    assert remaining_wall_mm(thin, age).middle <= remaining_wall_mm(thick, age).middle


def test_the_band_of_a_category_is_the_middle_nine_tenths():
    mean, spread = rate_prior_um(25.0, 50.0)

    # derived by hand: lognormal with median sqrt(25 x 50) = 35.36
    log_sd = np.sqrt(np.log1p((spread / mean) ** 2))
    median = mean / np.exp(log_sd**2 / 2)
    assert median == pytest.approx(35.355, abs=0.001)
    assert median * np.exp(1.644854 * log_sd) == pytest.approx(50.0, abs=0.001)


def test_pits_are_kept_apart_from_the_mean():
    # from memory: two to four times the mean loss
    assert pit_depth_um(200.0) == (400.0, 800.0)
    assert left_under_pit_mm(1.0, 800.0) == pytest.approx(0.2)
    assert left_under_pit_mm(0.5, 800.0) == 0.0


def test_a_wall_thicker_than_new_is_refused():
    with pytest.raises(InvalidInput, match="thicker than"):
        checked_wall_mm(6.8, 6.3, 0.1)


@pytest.mark.parametrize("read", [0.0, -1.0])
def test_a_wall_of_nothing_is_refused(read):
    with pytest.raises(InvalidInput, match="more than 0 mm"):
        checked_wall_mm(read, 6.3, 0.1)


def test_a_missing_wall_as_new_is_named():
    with pytest.raises(InsufficientData, match="wall as new is missing"):
        checked_wall_mm(5.0, float("nan"), 0.1)
