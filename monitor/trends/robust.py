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

import math
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np

from monitor.trends.block import Block
from monitor.trends.codes import FloatArray, IntArray
from monitor.trends.compiled import compiled, inlined
from monitor.trends.filter import SUSPECT_BELOW, Trust
from monitor.trends.hyper import Hyper
from monitor.trends.prior import Prior
from monitor.trends.track import axes_mean, axes_sum

PASSES: Final = 4
_DIFFUSE: Final = 1e6
_SAME_SIDE: Final = 0.5
"""Cosine between the errors of two neighbours that stray the same way."""

_CLEAR_SDS: Final = 3.0
_SHORTEST_YEARS: Final = 0.25
"""A pace is not read off two readings closer than this. [yr]"""

T: Final = 0
X: Final = 1
JUMP: Final = 3
DECLARED: Final = 4
NOISE: Final = 5
CELL_COLUMNS: Final = 6

ERROR: Final = 0
VARIANCE: Final = 2
_LEVEL_GAIN: Final = 3
_SLOPE_GAIN: Final = 4
_TOTAL: Final = 5
WORK_COLUMNS: Final = 6


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


def plain_of(prior: Prior) -> Plain:
    """Return the normal prior with the mean and variance of the regimes.

    The hazard of a new slope appears as a random walk of the slope.
    """
    mean = np.sum(prior.weight * prior.mean, axis=1)
    spread = axes_mean((prior.mean - mean[:, None]) ** 2)
    variance = np.sum(prior.weight * (prior.variance + spread), axis=0)
    return Plain(mean, variance, prior.kappa2, prior.q + prior.hazard * variance)


class Judged(NamedTuple):
    """Readings as the compiled loops take them, see `Block`; two axes always."""

    t: FloatArray
    x: FloatArray
    y: FloatArray
    jump: FloatArray
    declared: FloatArray
    begin: IntArray
    start: FloatArray


class Walk(NamedTuple):
    """The plain prior of one series, and the variance of its unknown first level."""

    slope_x: float
    slope_y: float
    slope_variance: float
    kappa2: float
    q: float
    start: float


class Gross(NamedTuple):
    """Axes, and what is known of gross errors."""

    axes: int
    share: float
    ratio: float


def trust(block: Block, prior: Prior, hyper: Hyper) -> Trust:
    """Return how far each reading counts, and how fast a confirmed change went."""
    shape = block.t.shape
    changed = np.zeros(shape, dtype=np.bool_)
    found = Trust(np.ones(shape), changed, np.zeros(block.rows.size))
    plain = plain_of(prior)
    gross = Gross(len(block.y), hyper.outlier_share, hyper.outlier_ratio)
    _trust_all(judged(block, plain), columns(plain), gross, found)
    return found


def inflated(block: Block, weights: FloatArray, hyper: Hyper) -> FloatArray:
    """Return the noise variance of readings that count with the given shares."""
    return block.middle_variance / (weights + (1.0 - weights) / hyper.outlier_ratio)


def judged(block: Block, plain: Plain) -> Judged:
    """Return the readings of a block as the compiled loops take them."""
    return Judged(
        block.t,
        block.middle[0],
        block.middle[1] if len(block.middle) > 1 else np.zeros(block.t.shape),
        block.jump,
        block.middle_variance,
        block.begin,
        _DIFFUSE * (block.noise**2 + plain.slope_variance),
    )


def columns(plain: Plain) -> FloatArray:
    """Return the numbers of `Walk` side by side, shape (N, 5)."""
    x = plain.slope[0]
    y = plain.slope[1] if len(plain.slope) > 1 else np.zeros_like(x)
    return np.stack((x, y, plain.slope_variance, plain.kappa2, plain.q), axis=1)


@compiled
def _trust_all(block: Judged, plain: FloatArray, gross: Gross, found: Trust) -> None:
    steps = len(block.t)
    cells, work = np.empty((steps, CELL_COLUMNS)), np.empty((steps, WORK_COLUMNS))
    marks = np.empty((steps, 3))
    for i in range(len(plain)):
        n = steps - block.begin[i]
        gather(block, i, cells)
        _trust_one(
            cells[:n], walk_of(plain[i], block.start[i]), gross, work[:n], marks[:n]
        )
        for row in range(n):
            doubted, sound, agrees = marks[row]
            share = max(sound, agrees) if doubted > 0.0 else 1.0
            found.shares[block.begin[i] + row, i] = share
            if agrees > 0.0:
                found.changed[block.begin[i] + row, i] = True
                found.pace[i] = max(found.pace[i], _pace(cells, row))


@inlined
def gather(block: Judged, i: int, cells: FloatArray) -> None:
    """Copy the readings of one series side by side, the first one on top."""
    begin = block.begin[i]
    for row in range(begin, len(block.t)):
        cell = cells[row - begin]
        cell[T] = block.t[row, i]
        cell[X], cell[X + 1] = block.x[row, i], block.y[row, i]
        cell[JUMP], cell[DECLARED] = block.jump[row, i], block.declared[row, i]


@inlined
def walk_of(own: FloatArray, start: float) -> Walk:
    """Return the plain prior of one series from its row of `columns`."""
    return Walk(own[0], own[1], own[2], own[3], own[4], start)


@inlined
def _trust_one(
    cells: FloatArray, walk: Walk, gross: Gross, work: FloatArray, marks: FloatArray
) -> None:
    """Write for each reading: is it doubted, how sound is it, does a neighbour agree.

    Parameters
    ----------
    cells, work, marks : of one series, a row for each reading
    """
    marks[:] = 0.0
    for _ in range(PASSES):
        for row in range(len(cells)):
            share = marks[row, 1] if marks[row, 0] > 0.0 else 1.0
            weaker = share + (1.0 - share) / gross.ratio
            cells[row, NOISE] = cells[row, DECLARED] / weaker
        leave_one(cells, walk, work)
        worst = -1
        for row in range(len(cells)):
            marks[row, 1] = _soundness(cells[row, DECLARED], work[row], gross)
            least = math.inf if worst < 0 else marks[worst, 1]
            if marks[row, 0] == 0.0 and marks[row, 1] <= least:
                worst = row
        found = worst >= 0 and marks[worst, 1] < SUSPECT_BELOW
        if found:
            marks[worst, 0] = 1.0
        _confirm(cells, work, marks)
        if not found:
            break


@inlined
def leave_one(cells: FloatArray, walk: Walk, work: FloatArray) -> None:
    """Write the left-out error and its variance of each reading of one series."""
    _forward(cells, walk, work)
    _backward(cells, work)


@inlined
def _forward(cells: FloatArray, walk: Walk, work: FloatArray) -> None:
    x, y, bx, by = 0.0, 0.0, walk.slope_x, walk.slope_y
    pxx, pxb, pbb = walk.start, 0.0, walk.slope_variance
    for row in range(len(cells)):
        noise = cells[row, NOISE]
        d = cells[row, T] - cells[row - 1, T] if row else 0.0
        pxx += d * (2.0 * pxb + d * pbb) + walk.kappa2 * d + cells[row, JUMP]
        pxx += walk.q * d**3 / 3.0
        pxb += d * pbb + walk.q * d * d / 2.0
        pbb += walk.q * d
        total = pxx + noise
        level, slope = pxx / total, pxb / total
        ex, ey = cells[row, X] - x - d * bx, cells[row, X + 1] - y - d * by
        x, y = x + d * bx + level * ex, y + d * by + level * ey
        bx, by = bx + slope * ex, by + slope * ey
        pbb -= slope * pxb
        pxb, pxx = slope * noise, level * noise
        work[row, ERROR], work[row, ERROR + 1], work[row, _TOTAL] = ex, ey, total
        work[row, _LEVEL_GAIN], work[row, _SLOPE_GAIN] = level, slope


@inlined
def _backward(cells: FloatArray, work: FloatArray) -> None:
    """Run the smoothing recursion; u / D is the left-out error, 1 / D its variance."""
    rx, ry, rbx, rby = 0.0, 0.0, 0.0, 0.0
    nxx, nxb, nbb = 0.0, 0.0, 0.0
    for row in range(len(cells) - 1, -1, -1):
        k, m, total = work[row, _LEVEL_GAIN], work[row, _SLOPE_GAIN], work[row, _TOTAL]
        ux = work[row, ERROR] / total - k * rx - m * rbx
        uy = work[row, ERROR + 1] / total - k * ry - m * rby
        d = 1.0 / total + k * (k * nxx + 2.0 * m * nxb) + m * m * nbb
        work[row, ERROR], work[row, ERROR + 1] = ux / d, uy / d
        work[row, VARIANCE] = max(1.0 / d - cells[row, NOISE], 0.0)
        rx, ry = rx + ux, ry + uy
        less = k * nxb + m * nbb
        nxx += d - 2.0 * (k * nxx + m * nxb)
        nxb -= less
        gap = cells[row, T] - cells[row - 1, T] if row else 0.0
        rbx, rby = rbx + gap * rx, rby + gap * ry
        nbb += gap * (2.0 * nxb + gap * nxx)
        nxb += gap * nxx


@inlined
def _soundness(noise: float, left: FloatArray, gross: Gross) -> float:
    """Return the chance that a reading is sound, given all others."""
    odds = gross.share / (1.0 - gross.share)
    return 1.0 / (1.0 + odds * math.exp(min(log_odds(noise, left, gross), 700.0)))


@inlined
def log_odds(noise: float, left: FloatArray, gross: Gross) -> float:
    """Return how much likelier a gross error is than a sound reading, as a log.

    Parameters
    ----------
    left : the reading's row of what `leave_one` wrote
    """
    square = left[ERROR] ** 2 + left[ERROR + 1] ** 2
    sound = left[VARIANCE] + noise
    strayed = left[VARIANCE] + gross.ratio * noise
    gain = 0.5 * square * (1.0 / sound - 1.0 / strayed)
    return float(gain - 0.5 * gross.axes * math.log(strayed / sound))


@inlined
def _confirm(cells: FloatArray, work: FloatArray, marks: FloatArray) -> None:
    """Mark doubted neighbours that stray to the same side."""
    marks[:, 2] = 0.0
    for row in range(1, len(cells)):
        if marks[row, 0] > 0.0 and marks[row - 1, 0] > 0.0:
            x, y = work[row, ERROR], work[row, ERROR + 1]
            to_x, to_y = work[row - 1, ERROR], work[row - 1, ERROR + 1]
            both = math.hypot(x, y) * math.hypot(to_x, to_y)
            if x * to_x + y * to_y > _SAME_SIDE * both:
                marks[row, 2], marks[row - 1, 2] = 1.0, 1.0


def newest_pace(block: Block) -> FloatArray:
    """Return the square of the pace to the newest reading. [unit^2/yr^2]"""
    way = block.middle[:, -1] - block.middle[:, -2]
    noise = block.middle_variance[-1] + block.middle_variance[-2] + block.jump[-1]
    gap = np.maximum(block.t[-1] - block.t[-2], _SHORTEST_YEARS)
    clear = np.maximum(axes_sum(way**2) - _CLEAR_SDS**2 * noise, 0.0)
    return np.asarray(clear / gap**2)


@inlined
def _pace(cells: FloatArray, row: int) -> float:
    """Return the square of the pace since the reading before, beyond the noise."""
    if row == 0:
        return 0.0
    dx = cells[row, X] - cells[row - 1, X]
    dy = cells[row, X + 1] - cells[row - 1, X + 1]
    noise = cells[row, DECLARED] + cells[row - 1, DECLARED] + cells[row, JUMP]
    gap = max(cells[row, T] - cells[row - 1, T], _SHORTEST_YEARS)
    return float(max(dx * dx + dy * dy - _CLEAR_SDS**2 * noise, 0.0) / gap**2)
