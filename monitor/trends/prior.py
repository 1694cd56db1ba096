"""The prior of a block, ready for the filter: regimes, random walks, hazard."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from monitor.trends.block import Block, Fleet, per_series
from monitor.trends.codes import FloatArray, IntArray, Regime
from monitor.trends.hyper import DEFAULT_SD_RATIOS, GroupHyper

FRESH_STILL: Final = 0.25
"""What changes begins to move rather than to rest: weight left to the still regime."""

FOLDED_MEAN: Final = np.sqrt(2.0 / np.pi)
FOLDED_SD: Final = np.sqrt(1.0 - 2.0 / np.pi)


@dataclass(frozen=True, slots=True)
class Prior:
    """Prior of each series of a block; K regimes, A axes, N series.

    Parameters
    ----------
    weight : share of each regime, shape (K, N)
    fresh : share of each regime after a change of slope, shape (K, N)
    mean : slope [unit/yr], harmful upwards, shape (A, K, N)
    variance : of the slope [unit^2/yr^2], shape (K, N)
    kappa2 : variance of the level's random walk [unit^2/yr]
    q : variance of the slope's random walk [unit^2/yr^3]
    hazard : chance of a change of slope [1/yr]
    noise_df : degrees of freedom of the noise's own spread
    widen : factor on forecast sds asked for by the self-audit
    """

    weight: FloatArray
    fresh: FloatArray
    mean: FloatArray
    variance: FloatArray
    kappa2: FloatArray
    q: FloatArray
    hazard: FloatArray
    noise_df: FloatArray
    widen: FloatArray

    def columns(self, chosen: IntArray) -> "Prior":
        """Return the prior of the chosen columns."""
        return Prior(
            self.weight[:, chosen],
            self.fresh[:, chosen],
            self.mean[:, :, chosen],
            self.variance[:, chosen],
            self.kappa2[chosen],
            self.q[chosen],
            self.hazard[chosen],
            self.noise_df[chosen],
            self.widen[chosen],
        )


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
    noise = block.noise
    rows = block.rows
    return Prior(
        weight=weight,
        fresh=fresh / fresh.sum(axis=0),
        mean=means,
        variance=variance,
        kappa2=(per_series(fleet, rows, "drift_noise") * noise) ** 2,
        q=(per_series(fleet, rows, "slope_noise") * noise) ** 2,
        hazard=per_series(fleet, rows, "hazard"),
        noise_df=per_series(fleet, rows, "noise_df"),
        widen=per_series(fleet, rows, "widen"),
    )


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
