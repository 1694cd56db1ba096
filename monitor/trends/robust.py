"""How far each reading can be trusted, judged by all the others.

A reading is set against what the rest of its series says of that moment (leave one
out). The worst one is doubted first, then the rest is judged anew: a gross error must
not hide another, nor make a sound reading look wrong. Nothing is deleted: a doubted
reading counts with a larger noise. Two neighbours that stray together confirm each
other: that is a change, not an error.

References
----------
.. [1] de Jong, Biometrika 76 (1989) 81: smoothing errors and leave-one-out residuals
       from one backward pass (from memory).
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from monitor.trends.block import Block
from monitor.trends.codes import BoolArray, FloatArray
from monitor.trends.filter import SUSPECT_BELOW
from monitor.trends.hyper import Hyper
from monitor.trends.prior import Prior
from monitor.trends.track import axes_mean, axes_sum

PASSES: Final = 4
_DIFFUSE: Final = 1e6
_AGREE_SDS: Final = 3.0


@dataclass(frozen=True, slots=True)
class Plain:
    """One normal prior on the slope in place of the regimes; the same random walks.

    Parameters
    ----------
    slope : mean [unit/yr], shape (A, N)
    slope_variance : [unit^2/yr^2]
    kappa2, q : variances of the random walks of level and slope
    """

    slope: FloatArray
    slope_variance: FloatArray
    kappa2: FloatArray
    q: FloatArray


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Each reading against all others of its series.

    Parameters
    ----------
    error : reading minus what the others say [unit], shape (A, T, N)
    variance : of what the others say [unit^2], shape (T, N)
    """

    error: FloatArray
    variance: FloatArray


def plain_of(prior: Prior) -> Plain:
    """Return the normal prior with the mean and variance of the regimes.

    The hazard of a new slope appears as a random walk of the slope.
    """
    mean = np.sum(prior.weight * prior.mean, axis=1)
    spread = axes_mean((prior.mean - mean[:, None]) ** 2)
    variance = np.sum(prior.weight * (prior.variance + spread), axis=0)
    return Plain(mean, variance, prior.kappa2, prior.q + prior.hazard * variance)


def trust(block: Block, prior: Prior, hyper: Hyper) -> FloatArray:
    """Return the share with which each reading counts, shape (T, N)."""
    shape = block.t.shape
    doubted, agree = np.zeros(shape, dtype=np.bool_), np.zeros(shape)
    sound = np.ones(shape)
    at = np.arange(block.rows.size)
    for _ in range(PASSES):
        part, plain = block.columns(at), plain_of(prior.columns(at))
        known = doubted[:, at]
        share = np.where(known, sound[:, at], 1.0)
        left = leave_one_out(part, plain, inflated(part, share, hyper))
        sound[:, at] = _soundness(part, left, hyper)
        worst = _worst(sound[:, at], part.valid & ~known)
        doubted[:, at] = known | worst
        agree[:, at] = _confirmed(part, left, known | worst)
        at = at[worst.any(axis=0)]
        if not at.size:
            break
    return np.where(block.valid & doubted, np.maximum(sound, agree), 1.0)


def inflated(block: Block, weights: FloatArray, hyper: Hyper) -> FloatArray:
    """Return the noise variance of readings that count with the given shares."""
    return block.middle_variance / (weights + (1.0 - weights) / hyper.outlier_ratio)


def leave_one_out(block: Block, plain: Plain, variance: FloatArray) -> LeftOut:
    """Return what all other readings say of each reading.

    Parameters
    ----------
    variance : noise of each reading [unit^2], shape (T, N)
    """
    forward = _forward(block, plain, variance)
    return _backward(block, forward, variance)


@dataclass(frozen=True, slots=True)
class _Forward:
    error: FloatArray
    total: FloatArray
    level_gain: FloatArray
    slope_gain: FloatArray
    gap: FloatArray


def _forward(block: Block, plain: Plain, variance: FloatArray) -> _Forward:
    axes, steps, n = block.middle.shape
    out = _Forward(
        np.empty((axes, steps, n)), *(np.empty((steps, n)) for _ in range(4))
    )
    x, b = np.zeros((axes, n)), plain.slope.copy()
    pxx = _DIFFUSE * (block.noise**2 + plain.slope_variance)
    pxb, pbb = np.zeros(n), plain.slope_variance.copy()
    for row in range(steps):
        d = block.t[row] - block.t[row - 1] if row else np.zeros(n)
        pxx = pxx + d * (2.0 * pxb + d * pbb) + plain.kappa2 * d + block.jump[row]
        pxx = pxx + plain.q * d**3 / 3.0
        pxb = pxb + d * pbb + plain.q * d * d / 2.0
        pbb = pbb + plain.q * d
        x = x + d * b
        total = pxx + variance[row]
        error = block.middle[:, row] - x
        level, slope = pxx / total, pxb / total
        x, b = x + level * error, b + slope * error
        pbb = pbb - slope * pxb
        pxb, pxx = slope * variance[row], level * variance[row]
        out.error[:, row], out.total[row], out.gap[row] = error, total, d
        out.level_gain[row], out.slope_gain[row] = level, slope
    return out


def _backward(block: Block, forward: _Forward, variance: FloatArray) -> LeftOut:
    """Run the smoothing recursion; u / D is the left-out error, 1 / D its variance."""
    axes, steps, n = forward.error.shape
    error, state = np.empty((axes, steps, n)), np.empty((steps, n))
    rx, rb = np.zeros((axes, n)), np.zeros((axes, n))
    nxx, nxb, nbb = np.zeros(n), np.zeros(n), np.zeros(n)
    for row in range(steps - 1, -1, -1):
        k, m = forward.level_gain[row], forward.slope_gain[row]
        total = forward.total[row]
        u = forward.error[:, row] / total - k * rx - m * rb
        d = 1.0 / total + k * (k * nxx + 2.0 * m * nxb) + m * m * nbb
        error[:, row] = u / d
        state[row] = np.maximum(1.0 / d - variance[row], 0.0)
        rx = rx + u
        nxb_new = nxb - (k * nxb + m * nbb)
        nxx = nxx + d - 2.0 * (k * nxx + m * nxb)
        nxb = nxb_new
        gap = forward.gap[row]
        rb = rb + gap * rx
        nbb = nbb + gap * (2.0 * nxb + gap * nxx)
        nxb = nxb + gap * nxx
    return LeftOut(error, state)


def _soundness(block: Block, left: LeftOut, hyper: Hyper) -> FloatArray:
    """Return the chance that each reading is sound, given all others."""
    axes = left.error.shape[0]
    square = axes_sum(left.error**2)
    noise = block.middle_variance
    sound = left.variance + noise
    gross = left.variance + hyper.outlier_ratio * noise
    log_odds = 0.5 * square * (1.0 / sound - 1.0 / gross)
    log_odds -= 0.5 * axes * np.log(gross / sound)
    odds = hyper.outlier_share / (1.0 - hyper.outlier_share)
    return np.asarray(1.0 / (1.0 + odds * np.exp(np.minimum(log_odds, 700.0))))


def _worst(sound: FloatArray, candidates: BoolArray) -> BoolArray:
    """Return the least sound reading of each series, the newer of two equals."""
    judged = np.where(candidates, sound, np.inf)[::-1]
    row = judged.shape[0] - 1 - np.argmin(judged, axis=0)
    column = np.arange(row.size)
    chosen = np.zeros(sound.shape, dtype=np.bool_)
    chosen[row, column] = candidates[row, column] & (sound[row, column] < SUSPECT_BELOW)
    return chosen


def _confirmed(block: Block, left: LeftOut, doubted: BoolArray) -> FloatArray:
    """Return 1 for doubted neighbours that stray to the same place, else 0."""
    agree = np.zeros(doubted.shape, dtype=np.bool_)
    apart = np.sqrt(axes_mean(np.diff(left.error, axis=1) ** 2))
    sd = np.sqrt(block.middle_variance)
    near = apart < _AGREE_SDS * np.hypot(sd[1:], sd[:-1])
    pair = doubted[1:] & doubted[:-1] & near
    agree[1:] |= pair
    agree[:-1] |= pair
    return agree.astype(np.float64)
