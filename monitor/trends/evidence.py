"""Is it really moving? Evidence that may be looked at as often as one likes.

An e-value compares "drifting from some reading on" with "still". Under stillness it
exceeds 20 at any time, ever, with a chance of at most 5 % (Ville's inequality), if
the noise is not larger than stated. A vector drifts in an unknown direction: its two
components share one size of drift, so every direction counts alike.

References
----------
.. [1] Ville, Etude critique de la notion de collectif, 1939 (from memory).
.. [2] Robbins, Ann. Math. Statist. 41 (1970) 1397: mixture likelihood ratios
       (from memory).
.. [3] Wang and Ramdas, J. R. Stat. Soc. B 84 (2022) 822: e-BH (from memory).
"""

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from monitor.trends.block import Block
from monitor.trends.codes import BoolArray, FloatArray, IntArray
from monitor.trends.compiled import compiled, inlined
from monitor.trends.hyper import Hyper
from monitor.trends.prior import Prior
from monitor.trends.robust import (
    CELL_COLUMNS,
    JUMP,
    NOISE,
    WORK_COLUMNS,
    Gross,
    Judged,
    Plain,
    T,
    Walk,
    X,
    columns,
    gather,
    inflated,
    judged,
    leave_one,
    log_odds,
    plain_of,
    walk_of,
)
from monitor.trends.track import axes_sum

MOST_EVIDENCE: Final = 1e12
DRIFT_RATIOS: Final = (1 / 150, 1 / 40, 1 / 10)
"""Sizes of drift that the evidence looks for, in scales per year."""
HINGES: Final = 40
START_SHARE: Final = 0.5
UNJUDGED: Final = 0.1
"""Share of gross errors that the weights of readings leave to the rival of drift: from
the workbench, where it keeps still supports below 1 in 20 in dirty noise."""

STEP_SDS: Final = (5.0, 12.0)
STEP_EVIDENCE: Final = 200.0
"""Of the likeliest gap; tells 1 of 200 still supports in clean noise in 20 years."""

_FLAT: Final = 1e6
"""How much wider than in `robust` the first level is taken to be."""

_SCORE: Final = 0
_GOES_ON: Final = 1 / 3
_CLEAR_SDS: Final = 3.0
_PRECISION: Final = 2
_HINGE: Final = 3
_BEND: Final = 4


@dataclass(frozen=True, slots=True)
class Steps:
    """The likeliest unrecorded jump of each series.

    Parameters
    ----------
    row : row of the first reading after the jump, shape (N,)
    size : of the jump, turned harmful upwards; length for a vector [unit]
    evidence : e-value of that jump against none
    """

    row: IntArray
    size: FloatArray
    evidence: FloatArray


def evidence_words(e_value: FloatArray) -> IntArray:
    """Return the code of the word for each e-value: 3, 20 and 100 part them."""
    return np.searchsorted([3.0, 20.0, 100.0], e_value, side="right").astype(np.int64)


def discoveries(e_value: FloatArray, rate: float = 0.05) -> BoolArray:
    """Return the series a fleet list may call moving (e-BH).

    At most the share `rate` of the list is still on average, however the readings of
    different supports hang together.
    """
    n = e_value.size
    order = np.argsort(-e_value, kind="stable")
    enough = e_value[order] >= n / (rate * np.arange(1, n + 1))
    count = int(np.flatnonzero(enough)[-1]) + 1 if np.any(enough) else 0
    listed = np.zeros(n, dtype=np.bool_)
    listed[order[:count]] = True
    return listed


def drift_evidence(
    block: Block, prior: Prior, variance: FloatArray, hyper: Hyper
) -> FloatArray:
    """Return the e-value of each series: drift from the start or a later reading.

    "Still" has a rival of its own: still, with one gross error among the readings. No
    single reading makes movement.

    Parameters
    ----------
    variance : noise of each reading, not smaller than declared [unit^2], (T, N)
    """
    left = UNJUDGED * hyper.outlier_share
    gross = Gross(len(block.y), left, hyper.outlier_ratio)
    out = np.empty(block.rows.size)
    still, kappa2 = _still(block, prior), np.ascontiguousarray(prior.kappa2)
    _drift_all(judged(block, still), (kappa2, block.scale), variance, gross, out)
    return out


def _still(block: Block, prior: Prior) -> Plain:
    axes, n = block.base.shape
    return Plain(np.zeros((axes, n)), np.zeros(n), prior.kappa2, np.zeros(n))


def start_slopes(
    block: Block, prior: Prior, variance: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the least-squares slope since the first reading and its variance.

    Shapes (A, N) and (N,); the variance is infinite where there is one reading only.
    """
    axes, n = block.base.shape
    slope, spread = np.empty((2, n)), np.empty(n)
    flat = judged(block, _still(block, prior))
    kappa2 = np.ascontiguousarray(prior.kappa2)
    _start_all(flat, kappa2, variance, (slope, spread))
    return slope[:axes], spread


def step_evidence(
    block: Block, prior: Prior, weights: FloatArray, hyper: Hyper
) -> Steps:
    """Return the likeliest jump of the level between two readings, drift set aside.

    The e-value is that of the likeliest gap; how often still series are ever told of
    a jump is measured by the workbench, not proved. The newest reading counts in
    full: a jump shall be seen at the first reading.
    """
    shares = weights.copy()
    shares[-1] = 1.0
    variance = inflated(block, shares, hyper)
    # Slopes are taken as lasting here: a change of slope is no rival to a jump.
    plain = replace(plain_of(prior), q=prior.q)
    row = np.empty(block.rows.size, dtype=np.int64)
    found = np.empty((3, block.rows.size))
    own = columns(plain), block.noise, len(block.y)
    _step_all(judged(block, plain), own, variance, row, found)
    x, y, evidence = found
    return Steps(row, x if len(block.y) == 1 else np.hypot(x, y), evidence)


def goes_on(block: Block, row: IntArray) -> BoolArray:
    """Return whether a change went on after the given reading: a drift, not a jump.

    Since then two readings or more moved on, clear of the noise and at no less than
    `_GOES_ON` of its pace.
    """
    each, last = np.arange(row.size), block.t.shape[0] - 1
    before = np.maximum(row - 1, block.begin)
    step = block.y[:, row, each] - block.y[:, before, each]
    after = block.y[:, last] - block.y[:, row, each]
    gap = block.t[row, each] - block.t[before, each]
    since = block.t[last] - block.t[row, each]
    length = axes_sum(step**2)
    kept = axes_sum(step * after)
    noise = block.variance[-1] + block.variance[row, each]
    clear = kept > _CLEAR_SDS * np.sqrt(noise * length)
    lasting = kept * gap > _GOES_ON * since * length
    return np.asarray((row < last - 1) & clear & lasting, dtype=np.bool_)


@inlined
def likelihood_ratio(square: float, precision: float, tau: float, axes: int) -> float:
    """Return how much likelier a N(0, tau^2) effect is than none.

    Parameters
    ----------
    square : squared length of the score: effect times precision
    precision : 1 / variance of the estimated effect
    tau : sd of the effect [unit]
    """
    known = 1.0 + tau * tau * precision
    gain = math.exp(min(square * tau * tau / (2.0 * known), 690.0))
    return gain / (math.sqrt(known) if axes == 1 else known)


@compiled
def _drift_all(
    cells: Judged,
    own: tuple[FloatArray, FloatArray],
    variance: FloatArray,
    gross: Gross,
    out: FloatArray,
) -> None:
    kappa2, scale = own
    steps = len(cells.t)
    copy, work = np.empty((steps, CELL_COLUMNS)), np.empty((steps, WORK_COLUMNS))
    for i in range(out.size):
        n = steps - cells.begin[i]
        gather(cells, i, copy)
        copy[:n, NOISE] = variance[cells.begin[i] :, i]
        _hinge(copy[:n], kappa2[i], _FLAT * cells.start[i], work)
        total = min(_drift(work[:n], scale[i], gross.axes), 1e280)
        leave_one(copy[:n], Walk(0.0, 0.0, 0.0, kappa2[i], 0.0, cells.start[i]), work)
        odds = 0.0
        for row in range(n):
            odds += math.exp(min(log_odds(copy[row, NOISE], work[row], gross), 690.0))
        rival = 1.0 + gross.share / (1.0 - gross.share) * odds
        out[i] = min(total / rival, MOST_EVIDENCE)


@inlined
def _drift(work: FloatArray, scale: float, axes: int) -> float:
    """Return the e-value of a drift from the start or from one of the next readings."""
    total, rest = 0.0, 1.0
    for row in range(min(len(work), HINGES + 1)):
        share = START_SHARE if row == 0 else (1.0 - START_SHARE) / HINGES
        rest -= share
        square = work[row, _SCORE] ** 2 + work[row, _SCORE + 1] ** 2
        for ratio in DRIFT_RATIOS:
            found = likelihood_ratio(square, work[row, _PRECISION], ratio * scale, axes)
            total += share * found / len(DRIFT_RATIOS)
    return total + rest


@compiled
def _start_all(
    cells: Judged,
    kappa2: FloatArray,
    variance: FloatArray,
    out: tuple[FloatArray, FloatArray],
) -> None:
    slope, spread = out
    steps = len(cells.t)
    copy, work = np.empty((steps, CELL_COLUMNS)), np.empty((steps, WORK_COLUMNS))
    for i in range(spread.size):
        n = steps - cells.begin[i]
        gather(cells, i, copy)
        copy[:n, NOISE] = variance[cells.begin[i] :, i]
        _hinge(copy[:n], kappa2[i], _FLAT * cells.start[i], work)
        known = work[0, _PRECISION]
        spread[i] = 1.0 / known if known > 0.0 else math.inf
        for axis in range(len(slope)):
            slope[axis, i] = work[0, _SCORE + axis] / (known if known > 0.0 else 1.0)


@inlined
def _hinge(cells: FloatArray, kappa2: float, start: float, work: FloatArray) -> None:
    """Write score and precision of a drift that begins at each reading.

    Under stillness the level is a random walk; readings and hinges max(0, t - t_row)
    pass the same filter, so their innovations give generalised least squares.
    """
    x, y, pxx = 0.0, 0.0, start
    for row in range(len(cells)):
        if row:
            pxx += kappa2 * (cells[row, T] - cells[row - 1, T]) + cells[row, JUMP]
        total = pxx + cells[row, NOISE]
        gain = pxx / total
        ex, ey = cells[row, X] - x, cells[row, X + 1] - y
        x, y = x + gain * ex, y + gain * ey
        pxx = gain * cells[row, NOISE]
        work[row] = 0.0
        for early in range(row):
            past = work[early]
            ahead = cells[row, T] - cells[early, T] - past[_HINGE]
            past[_HINGE] += gain * ahead
            past[_PRECISION] += ahead / total * ahead
            past[_SCORE] += ahead / total * ex
            past[_SCORE + 1] += ahead / total * ey


@compiled
def _step_all(
    cells: Judged,
    own: tuple[FloatArray, FloatArray, int],
    variance: FloatArray,
    row: IntArray,
    found: FloatArray,
) -> None:
    plain, noise, axes = own
    steps = len(cells.t)
    copy, work = np.empty((steps, CELL_COLUMNS)), np.empty((steps, WORK_COLUMNS))
    for i in range(row.size):
        begin = cells.begin[i]
        gather(cells, i, copy)
        copy[: steps - begin, NOISE] = variance[begin:, i]
        start = 1e12 * noise[i] ** 2
        _jumps(copy[: steps - begin], walk_of(plain[i], start), work)
        best, evidence = _likeliest(work[: steps - begin], noise[i], axes)
        row[i] = begin + best if evidence > 0.0 else 0
        known = work[best, _PRECISION] if evidence > 0.0 else 1.0
        found[0, i] = work[best, _SCORE] / known
        found[1, i] = work[best, _SCORE + 1] / known
        found[2, i] = min(evidence, MOST_EVIDENCE)


@inlined
def _likeliest(work: FloatArray, noise: float, axes: int) -> tuple[int, float]:
    """Return the reading before which a jump is likeliest, and its e-value."""
    best, most = 0, 0.0
    for row in range(2, len(work)):
        precision = work[row, _PRECISION]
        if precision > 0.0:
            square = work[row, _SCORE] ** 2 + work[row, _SCORE + 1] ** 2
            found = 0.0
            for sds in STEP_SDS:
                found += likelihood_ratio(square, precision, sds * noise, axes)
            if found / len(STEP_SDS) > most:
                best, most = row, found / len(STEP_SDS)
    return best, most


@inlined
def _jumps(cells: FloatArray, walk: Walk, work: FloatArray) -> None:
    """Write score and precision of a jump at each row, level and slope free."""
    x, y, bx, by = 0.0, 0.0, walk.slope_x, walk.slope_y
    pxx, pxb, pbb = walk.start, 0.0, walk.slope_variance
    for row in range(len(cells)):
        d = cells[row, T] - cells[row - 1, T] if row else 0.0
        pxx += d * (2.0 * pxb + d * pbb) + walk.kappa2 * d + cells[row, JUMP]
        pxx += walk.q * d**3 / 3.0
        pxb += d * pbb + walk.q * d * d / 2.0
        pbb += walk.q * d
        total = pxx + cells[row, NOISE]
        level, slope = pxx / total, pxb / total
        x, y = x + d * bx, y + d * by
        ex, ey = cells[row, X] - x, cells[row, X + 1] - y
        x, y = x + level * ex, y + level * ey
        bx, by = bx + slope * ex, by + slope * ey
        work[row] = 0.0
        for early in range(1, row + 1):
            past = work[early]
            past[_HINGE] += d * past[_BEND]
            ahead = 1.0 - past[_HINGE]
            past[_HINGE] += level * ahead
            past[_BEND] += slope * ahead
            past[_PRECISION] += ahead / total * ahead
            past[_SCORE] += ahead / total * ex
            past[_SCORE + 1] += ahead / total * ey
        pbb -= slope * pxb
        pxb, pxx = slope * cells[row, NOISE], level * cells[row, NOISE]
