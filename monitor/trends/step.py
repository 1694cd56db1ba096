"""One step of the filter for one series, compiled: time passes, a reading comes.

Each regime carries a level x and a slope b with their covariance. `state`, `sums` and
`seen` are the rows of one series, see `track`; `table` and `walk` those of its prior,
see `prior`. A scalar is a vector whose second component is always zero.

References
----------
.. [1] Harvey, Forecasting, Structural Time Series Models and the Kalman Filter, 1989,
       ch. 4: local linear trend.
.. [2] Blom and Bar-Shalom, IEEE Trans. Automatic Control 33 (1988) 780: merging of
       regimes by moments (from memory).
"""

import math
from typing import Final, NamedTuple

import numpy as np

from monitor.trends.censored import take_side
from monitor.trends.codes import FloatArray
from monitor.trends.compiled import inlined
from monitor.trends.prior import KAPPA2, PRIOR_FRESH, PRIOR_MEAN, PRIOR_VARIANCE, Q
from monitor.trends.track import (
    COUNTED,
    ERROR,
    FIT,
    LEVEL,
    LOGLIK,
    PBB,
    PRECISION,
    PXB,
    PXX,
    REGIMES,
    SLOPE,
    SURPRISE,
    VARIANCE,
    WEIGHT,
)

_LOG_2PI: Final = math.log(2.0 * math.pi)
_TINY: Final = 1e-300
_MOST_SURPRISE: Final = 9.0


class Reading(NamedTuple):
    """One reading of one series.

    Parameters
    ----------
    x, y : the reading, y zero for a scalar [unit]
    variance : noise [unit^2]
    relation : -1, 0, +1
    place : 0 for the first reading of the series
    least : share with which it counts at least; negative: it counts in full
    """

    x: float
    y: float
    variance: float
    relation: int
    place: int
    least: float


class Odds(NamedTuple):
    """What a reading is judged by: axes, gross errors, freedom of the noise."""

    axes: int
    outlier_share: float
    outlier_ratio: float
    noise_df: float


@inlined
def mix(state: FloatArray, table: FloatArray, chance: float, axes: int) -> None:
    """Let a series draw a new slope with the given chance; merge by moments."""
    if chance == 0.0:
        return
    x, y, pxx, each = 0.0, 0.0, 0.0, 1.0 / axes
    for k in range(REGIMES):
        x += state[k, WEIGHT] * state[k, LEVEL]
        y += state[k, WEIGHT] * state[k, LEVEL + 1]
    for k in range(REGIMES):
        dx, dy = x - state[k, LEVEL], y - state[k, LEVEL + 1]
        pxx += state[k, WEIGHT] * (state[k, PXX] + each * (dx * dx + dy * dy))
    for k in range(REGIMES):
        drawn = table[k, PRIOR_FRESH] * chance
        whole = state[k, WEIGHT] * (1.0 - chance) + drawn
        state[k, WEIGHT] = whole
        share = drawn / max(whole, _TINY)
        _merge(state[k], table[k], (share, x, y, pxx), each)


@inlined
def _merge(
    row: FloatArray,
    prior: FloatArray,
    new: tuple[float, float, float, float],
    each: float,
) -> None:
    c, x, y, pxx = new
    dx, dy = x - row[LEVEL], y - row[LEVEL + 1]
    dbx, dby = prior[PRIOR_MEAN] - row[SLOPE], prior[PRIOR_MEAN + 1] - row[SLOPE + 1]
    keep = 1.0 - c
    both = c * keep * each
    row[PXX] = keep * row[PXX] + c * pxx + both * (dx * dx + dy * dy)
    row[PXB] = keep * row[PXB] + both * (dx * dbx + dy * dby)
    row[PBB] = keep * row[PBB] + c * prior[PRIOR_VARIANCE]
    row[PBB] += both * (dbx * dbx + dby * dby)
    row[LEVEL] += c * dx
    row[LEVEL + 1] += c * dy
    row[SLOPE] += c * dbx
    row[SLOPE + 1] += c * dby


@inlined
def advance(state: FloatArray, walk: FloatArray, d: float, jump: float) -> None:
    """Move a series on by warped time d [yr], plus an offset of variance `jump`."""
    noise = walk[KAPPA2] * d + jump + walk[Q] * d**3 / 3.0
    for k in range(REGIMES):
        half = d * state[k, PBB]
        state[k, PXX] += d * (2.0 * state[k, PXB] + half) + noise
        state[k, PXB] += half + walk[Q] * d * d / 2.0
        state[k, PBB] += walk[Q] * d
        state[k, LEVEL] += d * state[k, SLOPE]
        state[k, LEVEL + 1] += d * state[k, SLOPE + 1]


@inlined
def read(
    state: FloatArray, sums: FloatArray, seen: FloatArray, reading: Reading, odds: Odds
) -> tuple[float, float]:
    """Take in a reading; return the chance that it is sound, and its z."""
    excess = sums[SURPRISE] - sums[COUNTED]
    noise = reading.variance * (1.0 + excess / (odds.noise_df + sums[COUNTED]))
    mean, far, total = _foresee(state, seen, reading, noise, odds.axes)
    density, top = _fits(state, seen, noise, odds.axes)
    gross = _gross(total + (odds.outlier_ratio - 1.0) * noise, far, top, odds)
    z = math.sqrt(far / total / odds.axes)
    z = z if odds.axes > 1 else z * np.sign(mean)
    # The density of sound and gross errors together.
    loglik = math.log(density + gross) - top - 0.5 * odds.axes * _LOG_2PI
    share = density / (density + gross)
    share = max(share, reading.least)
    if reading.relation != 0:
        take_side(state, sums, seen, reading.relation)
        return share, z
    if reading.least >= 0.0:
        noise = noise / (share + (1.0 - share) / odds.outlier_ratio)
        density, top = _fits(state, seen, noise, odds.axes)
    if reading.place > 0:
        sums[LOGLIK] += loglik
    surprise = _correct(state, seen, noise, density)
    if reading.place >= 2:
        sums[SURPRISE] += share * min(surprise, _MOST_SURPRISE * odds.axes)
        sums[COUNTED] += share * odds.axes
    return share, z


@inlined
def _foresee(
    state: FloatArray, seen: FloatArray, reading: Reading, noise: float, axes: int
) -> tuple[float, float, float]:
    """Return mean error, its square and the total variance of the mixture."""
    x, y, total, each = 0.0, 0.0, 0.0, 1.0 / axes
    for k in range(REGIMES):
        ex, ey = reading.x - state[k, LEVEL], reading.y - state[k, LEVEL + 1]
        weight, variance = state[k, WEIGHT], state[k, PXX] + noise
        seen[k, WEIGHT], seen[k, VARIANCE] = weight, variance
        seen[k, ERROR], seen[k, ERROR + 1] = ex, ey
        x += weight * ex
        y += weight * ey
        total += weight * (variance + each * (ex * ex + ey * ey))
    far = x * x + y * y
    return x, far, total - each * far


@inlined
def _fits(
    state: FloatArray, seen: FloatArray, noise: float, axes: int
) -> tuple[float, float]:
    """Write regime fits; return their sum and the log factor taken out of them."""
    top = math.inf
    for k in range(REGIMES):
        square = seen[k, ERROR] ** 2 + seen[k, ERROR + 1] ** 2
        seen[k, PRECISION] = 1.0 / (state[k, PXX] + noise)
        seen[k, FIT] = 0.5 * square * seen[k, PRECISION]
        top = min(top, seen[k, FIT])
    density = 0.0
    for k in range(REGIMES):
        precision = seen[k, PRECISION]
        scale = math.sqrt(precision) if axes == 1 else precision
        fit = seen[k, WEIGHT] * math.exp(top - seen[k, FIT]) * scale + _TINY
        seen[k, FIT] = fit
        density += fit
    return density, top


@inlined
def _gross(variance: float, square: float, top: float, odds: Odds) -> float:
    """Return the density of a gross error on the scale of `_fits`."""
    scale = math.sqrt(variance) if odds.axes == 1 else variance
    against = odds.outlier_share / (1.0 - odds.outlier_share)
    return against * math.exp(min(top - 0.5 * square / variance, 650.0)) / scale


@inlined
def _correct(
    state: FloatArray, seen: FloatArray, noise: float, density: float
) -> float:
    """Kalman's correction; return the mean squared standardised error.

    The level's variance is formed without cancellation.
    """
    surprise, per_density = 0.0, 1.0 / density
    for k in range(REGIMES):
        ex, ey, precision = seen[k, ERROR], seen[k, ERROR + 1], seen[k, PRECISION]
        weight = seen[k, FIT] * per_density
        surprise += weight * (ex * ex + ey * ey) * precision
        level, slope = state[k, PXX] * precision, state[k, PXB] * precision
        state[k, WEIGHT] = weight
        state[k, LEVEL] += level * ex
        state[k, LEVEL + 1] += level * ey
        state[k, SLOPE] += slope * ex
        state[k, SLOPE + 1] += slope * ey
        state[k, PBB] -= slope * state[k, PXB]
        state[k, PXB] = slope * noise
        state[k, PXX] = level * noise
    return surprise
