"""Dates of a vector against Monte Carlo: plain draws from what the filter knows."""

from dataclasses import replace

import numpy as np
import pytest

from monitor.trends import GroupHyper, Hyper, Readings, Series
from monitor.trends.block import Fleet, pack
from monitor.trends.crossing import crossing_years, target
from monitor.trends.days import merge_days
from monitor.trends.filtered import filter_block, paths_today
from monitor.trends.readings import bounds

DRAWS = 400_000
RADIUS = 12.0


@pytest.fixture(scope="module", params=[0.3, 0.8])
def leaning(request):
    """Return a leaning post's readings; its slope is never drawn anew."""
    rng = np.random.default_rng(7)
    t = 0.75 * np.arange(8)
    x, y = np.array([[0.8], [0.6]]) * request.param * t + 0.5 * rng.normal(size=(2, 8))
    readings = Readings.simple(np.zeros(8, dtype=int), t, x, np.array(0.5))
    series = replace(
        Series.simple(np.array([RADIUS]), t[-1]), is_vector=np.array([True])
    )
    days = merge_days(replace(readings, value_y=y))
    hyper = Hyper(default=GroupHyper(hazard=0.0))
    fleet = Fleet(days, series, *bounds(days.readings, series), hyper)
    block = pack(fleet, np.array([0]))
    return paths_today(filter_block(fleet, block), series), block, series, hyper


def drawn_outside(path, centre, years):
    """Return the share of draws outside the circle after some years, by simulation."""
    rng = np.random.default_rng(1)
    track, prior = path.track, path.prior
    regime = rng.choice(4, DRAWS, p=track.weight[:, 0] / track.weight[:, 0].sum())
    pxx, pxb, pbb = (v[regime, 0] * path.stretch[0] for v in _covariance(track))
    walk = np.sqrt(path.stretch[0] * prior.kappa2[0] * years)
    square = np.zeros(DRAWS)
    for axis in range(2):
        slope_noise, level_noise, step = rng.normal(size=(3, DRAWS))
        slope = track.b[axis, regime, 0] + np.sqrt(pbb) * slope_noise
        level = track.x[axis, regime, 0] + pxb / np.sqrt(pbb) * slope_noise
        level += np.sqrt(pxx - pxb**2 / pbb) * level_noise
        square += (level + years * slope + walk * step - centre[axis, 0]) ** 2
    return np.mean(square > RADIUS**2)


def _covariance(track):
    return track.pxx, track.pxb, track.pbb


def test_a_vector_leaves_its_circle_as_often_as_draws_do(leaning):
    paths, block, series, hyper = leaning
    aim = target(block, series, series.act)

    years, _ = crossing_years(paths, [aim], hyper.horizon_years)[0]

    for when, chance in zip(years[:, 0], (0.05, 0.50, 0.95), strict=True):
        if np.isfinite(when):
            found = drawn_outside(paths[0], aim.centre, when)
            # Sankaran's approximation of the circle is good to about 0.01.
            assert found == pytest.approx(chance, abs=0.012)
    assert np.isfinite(years[0, 0])
