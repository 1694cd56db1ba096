"""The regimes of slope of a group, learnt from the slopes of all its series.

Each series gives a slope and its variance; the prior behind them is a mixture of
normals found by expectation and maximisation ("extreme deconvolution"). Twenty
pseudo-series of the default keep a small fleet from being sure of itself.

References
----------
.. [1] Bovy, Hogg and Roweis, Ann. Appl. Statist. 5 (2011) 1657: deconvolution of
       noisy values (from memory).
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from monitor.trends.codes import FloatArray, Regime
from monitor.trends.hyper import DEFAULT_SD_RATIOS, DEFAULT_WEIGHTS
from monitor.trends.prior import FOLDED_MEAN, FOLDED_SD

PSEUDO_SERIES: Final = 20.0
ROUNDS: Final = 60
LEAST_BROAD: Final = 0.05


@dataclass(frozen=True, slots=True)
class Slopes:
    """Slopes of the series of a group.

    Parameters
    ----------
    value : least-squares slope, harmful upwards [unit/yr], shape (A, N)
    variance : of the slope [unit^2/yr^2], shape (N,)
    """

    value: FloatArray
    variance: FloatArray


@dataclass(frozen=True, slots=True)
class Regimes:
    """Share, mean and sd of the four regimes. [unit/yr]"""

    weight: FloatArray
    mean: FloatArray
    sd: FloatArray


def default_regimes(scale: float, *, one_way: bool) -> Regimes:
    """Return the default for a scale [unit]; folded to the harmful side if one-way."""
    sd = np.array(DEFAULT_SD_RATIOS) * scale
    weight = np.array(DEFAULT_WEIGHTS)
    if one_way:
        return Regimes(weight, FOLDED_MEAN * sd, FOLDED_SD * sd)
    return Regimes(weight, np.zeros(sd.size), sd)


def deconvolve(slopes: Slopes, start: Regimes, *, sideless: bool) -> Regimes:
    """Return the regimes behind the slopes.

    The still regime keeps its mean and does not get narrower than the default; the
    broad one keeps mean, sd and a share of 5 % at least.

    Parameters
    ----------
    sideless : no direction is the harmful one: all means stay at zero
    """
    regimes = start
    for _ in range(ROUNDS):
        regimes = _maximise(slopes, regimes, start)
        if sideless:
            zero = np.zeros(start.mean.size)
            regimes = Regimes(regimes.weight, zero, regimes.sd)
    return regimes


def _maximise(slopes: Slopes, now: Regimes, start: Regimes) -> Regimes:
    axes = slopes.value.shape[0]
    total = slopes.variance + now.sd[:, None] ** 2
    error = slopes.value[:, None] - now.mean[:, None]
    square = np.sum(error**2, axis=0)
    fit = np.log(now.weight)[:, None] - 0.5 * square / total
    fit -= 0.5 * axes * np.log(total)
    g = np.exp(fit - fit.max(axis=0))
    g /= g.sum(axis=0)
    gain = now.sd[:, None] ** 2 / total
    posterior = now.mean[:, None] + gain * error
    left = now.sd[:, None] ** 2 * (1.0 - gain)
    pseudo = PSEUDO_SERIES * start.weight
    count = g.sum(axis=1) + pseudo
    mean = (np.sum(g * posterior.mean(axis=0), axis=1) + pseudo * start.mean) / count
    spread = np.mean((posterior - mean[:, None]) ** 2, axis=0)
    moved = start.sd**2 + (start.mean - mean) ** 2
    variance = (np.sum(g * (left + spread), axis=1) + pseudo * moved) / count
    return _bounded(Regimes(count / count.sum(), mean, np.sqrt(variance)), start)


def _bounded(found: Regimes, start: Regimes) -> Regimes:
    weight, mean, sd = found.weight.copy(), found.mean.copy(), found.sd.copy()
    still, broad = Regime.STILL, Regime.BROAD
    mean[still], mean[broad] = start.mean[still], start.mean[broad]
    sd = np.maximum(sd, start.sd[still])
    sd[broad] = start.sd[broad]
    if weight[broad] < LEAST_BROAD:
        rest = np.arange(weight.size) != broad
        weight[rest] *= (1.0 - LEAST_BROAD) / weight[rest].sum()
        weight[broad] = LEAST_BROAD
    return Regimes(weight, mean, sd)
