"""One small series by two roads: the filter, and brute force over the slope.

The reference is an independent brute-force quadrature: for a known noise and a flat
level, the posterior of the slope is summed on a fine grid, and every other number
follows from it. The readings are invented.
"""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import ndtr
from scipy.stats import norm

from monitor.trends import GroupHyper, Hyper, Readings, Series, outlooks

T = np.array([0.0, 1.0, 2.1, 2.9, 4.0])
Y = np.array([0.2, 0.9, 2.3, 2.6, 4.1])
SD, LIMIT = 0.5, 15.0
WEIGHTS, MEANS, SDS = (
    (0.6, 0.25, 0.1, 0.05),
    (0.0, 0.43, 1.43, 0.0),
    (0.05, 0.28, 0.69, 3.0),
)
HYPER = Hyper(
    default=GroupHyper(
        drift_noise=0.0,
        season_spread=0.0,
        hazard=0.0,
        noise_df=np.inf,
        weights=WEIGHTS,
        means=MEANS,
        sds=SDS,
    ),
    outlier_share=0.0,  # brute force knows no gross errors
    horizon_years=1000.0,
)


class Quadrature:
    """Posterior over a grid of slopes; the level given a slope is normal."""

    def __init__(self, n):
        t, y = T[:n], Y[:n]
        # A fine grid where the narrow regime lives, a coarse one for the broad regime.
        fine = np.arange(-4.0, 6.0, 0.0005)
        grid = np.union1d(fine, np.arange(-16.0, 16.0, 0.002))
        weight = np.gradient(grid)
        prior = sum(
            w * norm.pdf(grid, m, s)
            for w, m, s in zip(WEIGHTS, MEANS, SDS, strict=True)
        )
        residual = y - grid[:, None] * t
        mean = residual.mean(axis=1)
        rss = ((residual - mean[:, None]) ** 2).sum(axis=1)
        fit = weight * prior * np.exp(-0.5 * rss / SD**2)
        self.slope, self.p = grid, fit / fit.sum()
        self.level = mean + grid * t[-1]
        self.level_sd = SD / np.sqrt(n)

    def quantile(self, chance, values, sd):
        def miss(at):
            return np.sum(self.p * ndtr((at - values) / sd)) - chance

        return brentq(miss, -60.0, 60.0, xtol=1e-10)

    def rate(self, chance):
        return self.quantile(chance, self.slope, 1e-4)

    def next_year(self, chance):
        sd = np.hypot(self.level_sd, SD)
        return self.quantile(chance, self.level + self.slope, sd)

    def years(self, chance):
        def miss(years):
            ahead = self.level + self.slope * years - LIMIT
            return np.sum(self.p * ndtr(ahead / self.level_sd)) - chance

        return brentq(miss, 0.0, 1000.0) if miss(1000.0) > 0.0 else np.inf


@pytest.fixture(params=[1, 2, 3, 5])
def both(request):
    n = request.param
    readings = Readings.simple(np.zeros(n, dtype=int), T[:n], Y[:n], np.array(SD))
    series = Series.simple(np.array([LIMIT]), T[n - 1])
    return outlooks(readings, series, HYPER).one(0), Quadrature(n)


@pytest.mark.parametrize(("row", "chance"), [(0, 0.05), (1, 0.5), (2, 0.95)])
def test_the_filter_agrees_with_brute_force(both, row, chance):
    outlook, reference = both

    assert outlook.rate[row] == pytest.approx(reference.rate(chance), abs=1e-4)
    assert outlook.next_year[row] == pytest.approx(
        reference.next_year(chance), abs=1e-4
    )
    assert outlook.act_years[row] == pytest.approx(reference.years(chance), rel=1e-4)


def test_the_mean_rate_agrees_with_brute_force(both):
    outlook, reference = both

    mean = float(np.sum(reference.p * reference.slope))

    assert outlook.rate_xy[0] == pytest.approx(mean, abs=1e-4)
    assert sum(outlook.classes) == pytest.approx(1.0)
