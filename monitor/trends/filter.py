"""The level-and-slope filter over a block of series, with four regimes of slope.

Each regime carries a level x and a slope b with their covariance. Over a gap the
level moves by slope x warped time and by a random walk; with a small hazard the slope
is drawn anew. A reading multiplies the regime weights by how well each foresaw it.
Covariances are shared by the axes of a vector: both axes are read in the same moment
with the same instrument.

References
----------
.. [1] Harvey, Forecasting, Structural Time Series Models and the Kalman Filter, 1989,
       ch. 4: local linear trend.
.. [2] Blom and Bar-Shalom, IEEE Trans. Automatic Control 33 (1988) 780: merging of
       regimes by moments (from memory).
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from monitor.trends import censored
from monitor.trends.block import Block
from monitor.trends.codes import BoolArray, FloatArray, Law
from monitor.trends.hyper import Hyper
from monitor.trends.laws import warp
from monitor.trends.prior import Prior
from monitor.trends.track import Foresight, Track, axes_mean, axes_sum

DIFFUSE: Final = 1e12
SUSPECT_BELOW: Final = 0.5
"""A reading with less chance than this of being sound is looked at again."""

_LOG_2PI: Final = float(np.log(2.0 * np.pi))
_TINY: Final = 1e-300
_MOST_SURPRISE: Final = 9.0


@dataclass(frozen=True, slots=True)
class Run:
    """A block filtered under one law.

    Parameters
    ----------
    track : state after the newest reading
    weights : share with which each reading counted, shape (T, N)
    z : standardised one-step error of each reading, zero for the first, shape (T, N)
    suspect : series with a reading that did not fit
    newest : what was expected of the newest reading
    """

    track: Track
    weights: FloatArray
    z: FloatArray
    suspect: BoolArray
    newest: Foresight


def begin(block: Block, prior: Prior) -> Track:
    """Return the state before any reading: level unknown, slope from the prior."""
    shape = prior.weight.shape
    n = shape[1]
    return Track(
        x=np.zeros(prior.mean.shape),
        b=prior.mean.copy(),
        pxx=np.broadcast_to(DIFFUSE * block.noise**2, shape).copy(),
        pxb=np.zeros(shape),
        pbb=prior.variance.copy(),
        weight=prior.weight.copy(),
        surprise=np.zeros(n),
        counted=np.zeros(n),
        loglik=np.zeros(n),
    )


def run(
    block: Block,
    prior: Prior,
    law: Law,
    hyper: Hyper,
    trusted: FloatArray | None = None,
) -> Run:
    """Return the block filtered under one law.

    Parameters
    ----------
    trusted : share with which each reading counts at least, shape (T, N); a reading
        the filter itself foresaw counts more. None: every reading counts in full.
    """
    track = begin(block, prior)
    steps, n = block.t.shape
    weights, z = np.ones((steps, n)), np.zeros((steps, n))
    suspect = np.zeros(n, dtype=np.bool_)
    gap = np.diff(block.t, axis=0, prepend=block.t[:1])
    warped = np.diff(warp(law, block.t), axis=0, prepend=warp(law, block.t[:1]))
    foresight = Foresight(track.x, track.pxx, track.weight)
    for row in range(steps):
        if row:
            mix(track, prior, -np.expm1(-prior.hazard * gap[row]))
            advance(track, prior, warped[row], block.jump[row])
        known = block.valid[row] & (block.begin < row)
        least = None if trusted is None else trusted[row]
        foresight, share, z[row] = read(track, block, prior, hyper, (row, least))
        if trusted is None:
            suspect |= known & (share < SUSPECT_BELOW)
        else:
            weights[row] = np.where(known, share, trusted[row])
        z[row] *= known
    return Run(track, weights, z, suspect, foresight)


def mix(track: Track, prior: Prior, chance: FloatArray) -> None:
    """Let each series draw a new slope with the given chance; merge by moments."""
    if not np.any(chance):
        return
    g = track.weight
    drawn = prior.fresh * chance
    whole = g * (1.0 - chance) + drawn
    c = drawn / np.maximum(whole, _TINY)
    dx = np.sum(g * track.x, axis=1)[:, None] - track.x
    db = prior.mean - track.b
    pxx = np.sum(g * (track.pxx + axes_mean(dx * dx)), axis=0)
    keep = 1.0 - c
    both = c * keep
    track.pxx = keep * track.pxx + c * pxx + both * axes_mean(dx * dx)
    track.pxb = keep * track.pxb + both * axes_mean(dx * db)
    track.pbb = keep * track.pbb + c * prior.variance + both * axes_mean(db * db)
    track.x = track.x + c * dx
    track.b = track.b + c * db
    track.weight = whole


def advance(track: Track, prior: Prior, d: FloatArray, jump: FloatArray) -> None:
    """Move every state on by warped time d [yr], plus an offset of variance `jump`."""
    half = d * track.pbb
    noise = prior.kappa2 * d + jump + prior.q * d**3 / 3.0
    track.pxx = track.pxx + d * (2.0 * track.pxb + half) + noise
    track.pxb = track.pxb + half + prior.q * d * d / 2.0
    track.pbb = track.pbb + prior.q * d
    track.x = track.x + d * track.b


def spread_factor(track: Track, prior: Prior) -> FloatArray:
    """Return found / assumed noise variance of each series, moderated by the fleet.

    (d0 + sum of squares) / (d0 + count), after Smyth 2004 (from memory).
    """
    excess = track.surprise - track.counted
    return np.asarray(1.0 + excess / (prior.noise_df + track.counted))


def read(
    track: Track,
    block: Block,
    prior: Prior,
    hyper: Hyper,
    at: tuple[int, FloatArray | None],
) -> tuple[Foresight, FloatArray, FloatArray]:
    """Take in one row of readings; return foresight, share of soundness and z."""
    row, least = at
    axes = block.y.shape[0]
    noise = block.variance[row] * spread_factor(track, prior)
    error = block.y[:, row][:, None] - track.x
    square = axes_sum(error * error)
    seen = Foresight(error, track.pxx + noise, track.weight)
    fit, density, top = _fits(square, seen.variance, track.weight, axes)
    far, total = _spread_of(seen)
    out = (total + (hyper.outlier_ratio - 1.0) * noise, far)
    log_in = np.log(density) - top
    share = _soundness((log_in, out, axes), hyper.outlier_share)
    # The density of sound and gross errors together: log in, less the log of share.
    loglik = log_in - np.log(share) - 0.5 * axes * _LOG_2PI
    variance = seen.variance
    if least is not None:
        share = np.maximum(share, least)
        noise = noise / (share + (1.0 - share) / hyper.outlier_ratio)
        variance = track.pxx + noise
        fit, density, top = _fits(square, variance, track.weight, axes)
    known = block.valid[row] & (block.begin < row)
    before = replace(track)
    track.loglik = track.loglik + known * loglik
    track.weight = fit / density
    _count(track, square / variance, share, (row - block.begin >= 2, axes))
    _correct(track, error, variance, noise)
    if block.relation is not None:
        censored.correct(track, before, seen, block.relation[row])
    return seen, share, np.sqrt(far / total / axes) * _sign(seen)


def _fits(
    square: FloatArray, variance: FloatArray, weight: FloatArray, axes: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return regime fits, their sum and the log factor taken out of both."""
    power = 0.5 * square / variance
    top = power.min(axis=0)
    scale = np.sqrt(variance) if axes == 1 else variance
    fit = weight * np.exp(top - power) / scale
    fit += _TINY
    return fit, fit.sum(axis=0), top


def _spread_of(seen: Foresight) -> tuple[FloatArray, FloatArray]:
    """Return squared mean error and total variance of the mixture."""
    centre = np.sum(seen.weight * seen.error, axis=1)
    total = np.sum(
        seen.weight * (seen.variance + axes_mean(seen.error**2)), axis=0
    ) - axes_mean(centre**2)
    return axes_sum(centre**2), total


def _sign(seen: Foresight) -> FloatArray:
    if seen.error.shape[0] > 1:
        return np.ones(seen.weight.shape[1])
    return np.asarray(np.sign(np.sum(seen.weight * seen.error[0], axis=0)))


def _soundness(
    fit: tuple[FloatArray, tuple[FloatArray, FloatArray], int], outlier_share: float
) -> FloatArray:
    """Return the chance that a reading is sound and not a gross error."""
    log_in, (variance, square), axes = fit
    log_out = -0.5 * square / variance - 0.5 * axes * np.log(variance)
    odds = outlier_share / (1.0 - outlier_share)
    return np.asarray(1.0 / (1.0 + odds * np.exp(np.minimum(log_out - log_in, 700.0))))


def _count(
    track: Track, ratio: FloatArray, share: FloatArray, at: tuple[BoolArray, int]
) -> None:
    late, axes = at
    surprise = np.sum(track.weight * ratio, axis=0)
    counts = late * share
    track.surprise = track.surprise + counts * np.minimum(
        surprise, _MOST_SURPRISE * axes
    )
    track.counted = track.counted + counts * axes


def _correct(
    track: Track, error: FloatArray, variance: FloatArray, noise: FloatArray
) -> None:
    """Kalman's correction; the level's variance is formed without cancellation."""
    level = track.pxx / variance
    slope = track.pxb / variance
    track.x = track.x + level * error
    track.b = track.b + slope * error
    track.pbb = track.pbb - slope * track.pxb
    track.pxb = slope * noise
    track.pxx = level * noise
