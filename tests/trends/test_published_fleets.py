"""Published fleets: what the engine pools and foretells."""

from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm

from monitor.trends import GroupHyper, Hyper, Readings, Series, fit, outlooks
from monitor.trends.plain import least_squares, through_origin
from monitor.trends.pooling import Slopes, deconvolve, default_regimes
from tests.trends.data import rows_by_unit

# lme4, `lmer(Reaction ~ Days + (Days | Subject), sleepstudy)`, REML; Bates et al.,
# J. Stat. Softw. 67 (2015) 1, section 4 (from memory; recomputed below)
MEAN_SLOPE, SLOPE_SD, RESIDUAL_SD = 10.467, 5.922, 25.592
MEAN_SLOPE_SD = 1.546


@pytest.fixture(scope="module")
def sleep():
    days, units = rows_by_unit("sleepstudy")
    return np.broadcast_to(days, units.shape), units


@pytest.fixture(scope="module")
def reml(sleep):
    days, units = sleep
    subject = np.repeat(np.arange(len(units)), units.shape[1])
    design = sm.add_constant(days.ravel())
    return sm.MixedLM(units.ravel(), design, subject, design).fit(reml=True)


def as_readings(t, units, sd):
    n, many = units.shape
    index = np.repeat(np.arange(n), many)
    return Readings.simple(index, t.ravel(), units.ravel(), np.array(sd))


def told(mean, sd):
    """Fleet numbers of one normal population; the readings at face value."""
    group = GroupHyper(
        drift_noise=0.0, season_spread=0.0, hazard=0.0, noise_df=np.inf,
        weights=(0.4, 0.3, 0.3 - 1e-9, 1e-9), means=(mean,) * 4, sds=(sd,) * 4,
    )  # fmt: skip
    return Hyper(default=group, outlier_share=1e-12)


def test_the_oracle_gives_the_published_numbers_of_the_sleepers(reml):
    assert reml.fe_params == pytest.approx([251.405, MEAN_SLOPE], abs=6e-4)
    assert reml.bse_fe == pytest.approx([6.825, MEAN_SLOPE_SD], abs=6e-4)
    assert np.sqrt(np.diag(reml.cov_re)) == pytest.approx([24.740, SLOPE_SD], abs=2e-3)
    assert np.sqrt(reml.scale) == pytest.approx(RESIDUAL_SD, abs=6e-4)
    assert -2.0 * reml.llf == pytest.approx(1743.628, abs=2e-3)


def test_rates_are_the_slopes_of_the_sleepers_shrunk_by_the_textbook(sleep):
    """Flat level, known noise: a weighted mean of own slope and fleet mean, by hand."""
    t, units = sleep
    own = least_squares(t, units).slope
    trust = SLOPE_SD**2 / (
        SLOPE_SD**2 + RESIDUAL_SD**2 / 82.5
    )  # 82.5 = sum (d - 4.5)^2
    series = Series.simple(np.full(18, 1000.0), np.full(18, 9.0))

    found = outlooks(
        as_readings(t, units, RESIDUAL_SD), series, told(MEAN_SLOPE, SLOPE_SD)
    )

    wanted = trust * own + (1.0 - trust) * MEAN_SLOPE
    np.testing.assert_allclose(found.rate[1], wanted, rtol=1e-9)


def test_rates_are_near_those_of_a_mixed_model_that_pools_the_levels_too(sleep, reml):
    t, units = sleep
    series = Series.simple(np.full(18, 1000.0), np.full(18, 9.0))
    theirs = [effect.iloc[1] for effect in reml.random_effects.values()]

    found = outlooks(
        as_readings(t, units, RESIDUAL_SD), series, told(MEAN_SLOPE, SLOPE_SD)
    )

    apart = found.rate[1] - (np.array(theirs) + reml.fe_params[1])
    assert np.max(np.abs(apart)) < SLOPE_SD / 3.0
    assert np.sqrt(np.mean(apart**2)) < SLOPE_SD / 5.0
    assert reml.random_effects[0].iloc[1] + MEAN_SLOPE == pytest.approx(19.67, abs=0.01)


def test_the_pooled_spread_of_many_such_sleepers_is_that_of_reml(sleep):
    """Many copies, so that the pseudo-series of the default weigh nothing; the broad
    regime is kept by rule and left out. Mixtures divide by n, REML by n - 1."""
    slopes = np.tile(least_squares(*sleep).slope, 500)
    known = Slopes(slopes[None], np.full(slopes.size, RESIDUAL_SD**2 / 82.5))

    found = deconvolve(known, default_regimes(60.0, one_way=False), sideless=False)

    share = found.weight[:3] / found.weight[:3].sum()
    mean = np.sum(share * found.mean[:3])
    sd = np.sqrt(np.sum(share * (found.sd[:3] ** 2 + found.mean[:3] ** 2)) - mean**2)
    assert mean == pytest.approx(MEAN_SLOPE, abs=0.5 * MEAN_SLOPE_SD)
    assert sd * np.sqrt(18 / 17) == pytest.approx(SLOPE_SD, rel=0.05)


def test_the_lasers_reach_ten_per_cent_when_the_book_says():
    """Meeker and Escobar 1998, chapter 13: a line for each unit [h] (from memory)."""
    hours, units = rows_by_unit("gaas_lasers")
    line = least_squares(np.broadcast_to(hours, units.shape), units)

    reached = (10.0 - line.intercept) / line.slope

    assert np.round(reached).tolist() == [
        3702, 4194, 5847, 6172, 5301, 3592, 6051, 6538,
        5110, 3306, 5326, 4995, 4721, 5689, 6102,
    ]  # fmt: skip


def test_the_lasers_wear_at_the_rates_of_lines_through_the_origin():
    """Mean and spread of 15 slopes, recomputed from the table of the book."""
    hours, units = rows_by_unit("gaas_lasers")

    slope = through_origin(np.broadcast_to(hours, units.shape), units).slope

    assert slope.mean() == pytest.approx(0.00204665, abs=5e-9)
    assert slope.std(ddof=1) == pytest.approx(0.00046263, abs=5e-9)


def test_the_next_reading_of_a_laser_is_foretold_from_the_past_of_all():
    """After 4, 6, .. 14 readings, past readings only; a look each 250 h counts as a
    year, noise declared 0.1 %. A line for each unit must be beaten at its own score."""
    hours, units = rows_by_unit("gaas_lasers")
    t, n = hours / 250.0, len(units)
    held, ours, lines = [], [], []
    for seen in range(3, 14, 2):
        past = np.broadcast_to(t[:seen], (n, seen)), units[:, :seen]
        readings = as_readings(*past, 0.1)
        series = Series.simple(np.full(n, 10.0), np.full(n, t[seen]))
        hyper = fit(readings, series, version="past")
        expected = outlooks(readings, series, hyper).next_now
        line = least_squares(*past).reading_interval(np.full(n, t[seen]), 0.9)
        held.append((expected[0] <= units[:, seen]) & (units[:, seen] <= expected[2]))
        ours.append(interval_score(expected[0], expected[2], units[:, seen]))
        lines.append(interval_score(*line, units[:, seen]))

    assert 0.85 <= np.mean(held) <= 0.97
    assert np.mean(ours) < 0.85 * np.mean(lines)


def interval_score(low, high, came):
    """Width and 20 x miss of a 90 % interval (Gneiting and Raftery 2007)."""
    return high - low + 20.0 * (np.maximum(low - came, 0) + np.maximum(came - high, 0))


def test_readings_are_pooled_the_same_in_another_unit(sleep):
    t, units = sleep
    series = Series.simple(np.full(18, 1000.0), np.full(18, 9.0))
    seconds = replace(series, act=series.act / 1000.0)

    found = outlooks(as_readings(t, units, 25.0), series, told(10.0, 6.0))
    again = outlooks(as_readings(t, units / 1000.0, 0.025), seconds, told(0.01, 0.006))

    np.testing.assert_allclose(1000.0 * again.rate, found.rate, rtol=1e-7)
