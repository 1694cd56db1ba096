"""The prior of a block, ready for the filter: regimes, random walks, hazard."""

from dataclasses import dataclass
from typing import Final, Self

import numpy as np

from monitor.trends.block import Block, Fleet, per_series
from monitor.trends.codes import FloatArray, IntArray, Regime
from monitor.trends.hyper import DEFAULT_SD_RATIOS, GroupHyper

FRESH_STILL: Final = 0.25
"""What changes begins to move rather than to rest: weight left to the still regime."""

FOLDED_MEAN: Final = np.sqrt(2.0 / np.pi)
FOLDED_SD: Final = np.sqrt(1.0 - 2.0 / np.pi)


PRIOR_FRESH: Final = 1
PRIOR_VARIANCE: Final = 2
PRIOR_MEAN: Final = 3
PRIOR_COLUMNS: Final = 5

KAPPA2: Final = 0
Q: Final = 1
HAZARD: Final = 2
NOISE_DF: Final = 3
WIDEN: Final = 4


@dataclass(frozen=True, slots=True)
class Prior:
    """Prior of each series of a block; K regimes, A axes, N series.

    Parameters
    ----------
    table : weight, fresh weight, variance and mean slope by axis, shape (N, K, 5)
    walk : `KAPPA2`, `Q`, `HAZARD`, `NOISE_DF`, `WIDEN`, shape (N, 5)
    axes : 1, or 2 for vectors
    """

    table: FloatArray
    walk: FloatArray
    axes: int

    @property
    def weight(self) -> FloatArray:
        """Share of each regime, shape (K, N)."""
        return np.asarray(self.table.T[0])

    @property
    def fresh(self) -> FloatArray:
        """Share of each regime after a change of slope, shape (K, N)."""
        return np.asarray(self.table.T[PRIOR_FRESH])

    @property
    def mean(self) -> FloatArray:
        """Slope [unit/yr], harmful upwards, shape (A, K, N)."""
        return np.asarray(self.table.T[PRIOR_MEAN : PRIOR_MEAN + self.axes])

    @property
    def variance(self) -> FloatArray:
        """Variance of the slope [unit^2/yr^2], shape (K, N)."""
        return np.asarray(self.table.T[PRIOR_VARIANCE])

    @property
    def kappa2(self) -> FloatArray:
        """Variance of the level's random walk [unit^2/yr]."""
        return np.asarray(self.walk[:, KAPPA2])

    @property
    def q(self) -> FloatArray:
        """Variance of the slope's random walk [unit^2/yr^3]."""
        return np.asarray(self.walk[:, Q])

    @property
    def hazard(self) -> FloatArray:
        """Chance of a change of slope [1/yr]."""
        return np.asarray(self.walk[:, HAZARD])

    @property
    def noise_df(self) -> FloatArray:
        """Degrees of freedom of the noise's own spread."""
        return np.asarray(self.walk[:, NOISE_DF])

    @property
    def widen(self) -> FloatArray:
        """Factor on forecast sds asked for by the self-audit."""
        return np.asarray(self.walk[:, WIDEN])

    def columns(self, chosen: IntArray) -> Self:
        """Return the prior of the chosen series."""
        return type(self)(self.table[chosen], self.walk[chosen], self.axes)

    def hurried(self, pace: FloatArray) -> Self:
        """Return the prior with a broad regime that allows what series have shown.

        Parameters
        ----------
        pace : square of the fastest confirmed change of each [unit^2/yr^2]
        """
        table = self.table.copy()
        broad = table[:, Regime.BROAD, PRIOR_VARIANCE]
        table[:, Regime.BROAD, PRIOR_VARIANCE] = np.maximum(broad, pace)
        return type(self)(table, self.walk, self.axes)


def prior_of(fleet: Fleet, block: Block) -> Prior:
    """Return the prior of each series of the block.

    A vector and a quantity that may go both ways know no harmful side: their regimes
    have mean zero and keep the mean square. A one-way quantity folds the default to
    the harmful side.
    """
    weight, mean, variance = _regimes(fleet, block)
    axes = block.y.shape[0]
    means = np.repeat(mean[None], axes, axis=0)
    fresh = weight.copy()
    fresh[Regime.STILL] *= FRESH_STILL
    weight, means, variance = _carried(fleet, block, (weight, means, variance))
    table = np.zeros((block.rows.size, len(weight), PRIOR_COLUMNS))
    columns = (weight, fresh / fresh.sum(axis=0), variance, *means)
    for column, values in enumerate(columns):
        table[:, :, column] = values.T
    return Prior(table, _walk(fleet, block), axes)


def _walk(fleet: Fleet, block: Block) -> FloatArray:
    of = {
        name: per_series(fleet, block.rows, name)
        for name in ("drift_noise", "slope_noise", "hazard", "noise_df", "widen")
    }
    of["drift_noise"] = (of["drift_noise"] * block.noise) ** 2
    of["slope_noise"] = (of["slope_noise"] * block.noise) ** 2
    return np.stack(list(of.values()), axis=1)


def _regimes(fleet: Fleet, block: Block) -> tuple[FloatArray, FloatArray, FloatArray]:
    series = fleet.series.take(block.rows)
    shape = (len(DEFAULT_SD_RATIOS), block.rows.size)
    weight, mean, sd = np.empty(shape), np.zeros(shape), np.empty(shape)
    for code in np.unique(series.group):
        at = series.group == code
        group = fleet.hyper.of(int(code))
        weight[:, at] = np.array(group.weights)[:, None]
        mean[:, at], sd[:, at] = _slopes(group, block.scale[at])
        if not group.sds:
            folded = at & series.is_one_way
            mean[:, folded] = FOLDED_MEAN * sd[:, folded]
            sd[:, folded] *= FOLDED_SD
    sideless = series.is_vector | (series.direction == 0)
    square = sd**2 + np.where(sideless, mean**2, 0.0) / block.y.shape[0]
    return weight, np.where(sideless, 0.0, mean), square


def _slopes(group: GroupHyper, scale: FloatArray) -> tuple[FloatArray, FloatArray]:
    if group.sds:
        shape = (len(group.sds), scale.size)
        mean = np.broadcast_to(np.array(group.means)[:, None], shape)
        return mean, np.broadcast_to(np.array(group.sds)[:, None], shape)
    ratios = np.array(DEFAULT_SD_RATIOS)[:, None]
    return np.zeros((ratios.size, scale.size)), ratios * scale


def _carried(
    fleet: Fleet, block: Block, regimes: tuple[FloatArray, FloatArray, FloatArray]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the regimes after hearing the slope known from the segment before."""
    weight, mean, variance = regimes
    series = fleet.series.take(block.rows)
    known = np.isfinite(series.carried_rate) & np.isfinite(series.carried_sd)
    if not np.any(known):
        return regimes
    heard = [series.carried_rate * block.sign, series.carried_rate_y]
    slope = np.nan_to_num(np.stack(heard[: mean.shape[0]]))
    noise = np.where(known, series.carried_sd**2, np.inf)
    total = variance + noise
    error = slope[:, None] - mean
    gain = variance / total
    fit = -0.5 * (np.sum(error**2, axis=0) / total)
    fit -= 0.5 * mean.shape[0] * np.log(np.where(known, total, 1.0))
    fit = weight * np.exp(fit - fit.max(axis=0))
    return fit / fit.sum(axis=0), mean + gain * error, variance * (1.0 - gain)
