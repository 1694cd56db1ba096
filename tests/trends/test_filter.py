"""The filter against dense linear algebra, least squares and certified values."""

from dataclasses import replace
from importlib import resources

import numpy as np
import pytest
import statsmodels.api as sm

from monitor.trends import GroupHyper, Hyper, Readings, Series
from monitor.trends.block import Fleet, pack
from monitor.trends.days import merge_days
from monitor.trends.evidence import start_slopes
from monitor.trends.filtered import filter_block
from monitor.trends.prior import prior_of
from monitor.trends.readings import bounds
from monitor.trends.robust import (
    CELL_COLUMNS,
    ERROR,
    NOISE,
    VARIANCE,
    WORK_COLUMNS,
    T,
    Walk,
    X,
    leave_one,
)

SD = 0.5


def one_regime(**numbers):
    """Return numbers under which all four regimes are the same normal prior."""
    group = GroupHyper(
        season_spread=0.0,
        hazard=0.0,
        noise_df=np.inf,
        weights=(0.25,) * 4,
        means=(0.3,) * 4,
        sds=(0.8,) * 4,
    )
    return Hyper(default=replace(group, **numbers), outlier_share=1e-12)


def block_of(t, y, hyper, sd=SD):
    n = len(t)
    readings = Readings.simple(np.zeros(n, dtype=int), np.array(t), np.array(y), sd)
    series = Series.simple(np.array([1000.0]), np.array(t[-1]))
    days = merge_days(readings)
    fleet = Fleet(days, series, *bounds(days.readings, series), hyper)
    return fleet, pack(fleet, np.array([0]))


def universal(total, cross, own, level, error):
    """Return posterior mean and covariance when the first level has a flat prior.

    Universal kriging, by hand: `error` are readings less their prior means, `level`
    how far each wanted number follows the first level.
    """
    inverse = np.linalg.inv(total)
    ones = np.ones(len(error))
    precision = ones @ inverse @ ones
    first = ones @ inverse @ error / precision
    gain = cross @ inverse
    rest = level - gain @ ones
    mean = level * first + gain @ (error - first)
    return mean, own - gain @ cross.T + np.outer(rest, rest) / precision


def dense(t, y, kappa, q):
    """Return posterior mean and covariance of level and slope at the last reading.

    The slope starts at N(0.3, 0.8^2) and walks with variance q, the level with
    variance kappa^2; integrals of the walks by hand.
    """
    gap = t - t[0]
    low, high = np.minimum.outer(gap, gap), np.maximum.outer(gap, gap)
    bent = q * low**2 * (3.0 * high - low) / 6.0
    cov = 0.64 * np.outer(gap, gap) + kappa**2 * low + bent
    last = gap[-1]
    slope = 0.64 * gap + q * gap**2 / 2.0
    cross = np.vstack((cov[-1], slope))
    own = np.array([[cov[-1, -1], slope[-1]], [slope[-1], 0.64 + q * last]])
    mean, post = universal(
        cov + SD**2 * np.eye(len(t)), cross, own, np.array([1.0, 0.0]), y - 0.3 * gap
    )
    return mean + np.array([0.3 * last, 0.3]), post


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize(("kappa", "root_q"), [(0.0, 0.0), (0.2, 0.0), (0.3, 0.1)])
def test_the_filter_is_the_dense_gaussian_posterior(seed, kappa, root_q):
    rng = np.random.default_rng(seed)
    t = np.cumsum(rng.uniform(0.3, 1.5, 12))
    y = 0.5 * t + rng.normal(size=12)
    hyper = one_regime(drift_noise=kappa / SD, slope_noise=root_q / SD)

    fleet, block = block_of(t, y, hyper)
    track = next(iter(filter_block(fleet, block).runs.values())).track
    mean, cov = dense(t, y - y[0], kappa, root_q**2)

    np.testing.assert_allclose([track.x[0, 0, 0], track.b[0, 0, 0]], mean, rtol=1e-8)
    found = [track.pxx[0, 0], track.pxb[0, 0], track.pbb[0, 0]]
    np.testing.assert_allclose(found, [cov[0, 0], cov[0, 1], cov[1, 1]], rtol=1e-8)


def norris():
    text = (
        resources.files("scipy.stats")
        .joinpath("tests/data/nist_linregress/Norris.dat")
        .read_text()
    )
    rows = [line.split() for line in text.splitlines()[60:] if line.strip()]
    y, x = np.array(rows, dtype=float).T
    return x, y


def test_a_flat_prior_gives_the_certified_slope_of_norris():
    """NIST Statistical Reference Datasets, Norris: slope and its standard error."""
    x, y = norris()
    order = np.argsort(x, kind="stable")
    sd = 0.884796396144373  # certified residual standard deviation

    hyper = one_regime(drift_noise=0.0)
    fleet, block = _as_block(x[order], y[order], hyper, sd)
    slope, variance = start_slopes(block, prior_of(fleet, block), block.variance)

    assert slope[0, 0] == pytest.approx(1.00211681802045, rel=1e-10)
    assert np.sqrt(variance[0]) == pytest.approx(0.429796848199937e-03, rel=1e-9)


def _as_block(t, y, hyper, sd):
    """Return a block in which readings of one day stay apart."""
    fleet, block = block_of(np.arange(len(t)) * 1.0, y, hyper, sd)
    return fleet, replace(block, t=np.asarray(t)[:, None])


def test_a_flat_prior_is_least_squares():
    rng = np.random.default_rng(2)
    t = np.cumsum(rng.uniform(0.3, 1.5, 9))
    y = 0.5 * t + rng.normal(size=9) * SD
    fleet, block = block_of(t, y, one_regime(drift_noise=0.0))

    slope, _ = start_slopes(block, prior_of(fleet, block), block.variance)

    textbook = sm.OLS(y, sm.add_constant(t)).fit().params[1]
    assert slope[0, 0] == pytest.approx(textbook, rel=1e-9)


def test_leaving_one_out_is_the_dense_prediction_from_the_rest():
    rng = np.random.default_rng(4)
    t = np.cumsum(rng.uniform(0.3, 1.5, 8))
    y = 0.5 * t + rng.normal(size=8) * SD
    cells, left = np.zeros((8, CELL_COLUMNS)), np.zeros((8, WORK_COLUMNS))
    cells[:, T], cells[:, X], cells[:, NOISE] = t, y - y[0], SD**2

    leave_one(cells, Walk(0.0, 0.0, 4.0, 0.09, 0.0, 1e6), left)

    gap = t - t[0]
    cov = 4.0 * np.outer(gap, gap) + 0.09 * np.minimum.outer(gap, gap)
    for i in range(8):
        rest = np.arange(8) != i
        mean, variance = universal(
            cov[np.ix_(rest, rest)] + SD**2 * np.eye(7),
            cov[[i]][:, rest],
            cov[[i]][:, [i]],
            np.ones(1),
            (y - y[0])[rest],
        )
        assert left[i, ERROR] == pytest.approx((y - y[0])[i] - mean[0], abs=1e-4)
        assert left[i, VARIANCE] == pytest.approx(variance[0, 0], rel=1e-4)
