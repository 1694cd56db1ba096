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

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from monitor.trends.block import Block
from monitor.trends.codes import BoolArray, FloatArray, IntArray
from monitor.trends.hyper import Hyper
from monitor.trends.prior import Prior
from monitor.trends.robust import Plain, inflated, leave_one_out, plain_of
from monitor.trends.track import axes_sum

MOST_EVIDENCE: Final = 1e12
DRIFT_RATIOS: Final = (1 / 150, 1 / 40, 1 / 10)
"""Sizes of drift that the evidence looks for, in scales per year."""
HINGES: Final = 40
START_SHARE: Final = 0.5
STEP_SDS: Final = (5.0, 12.0)
STEP_EVIDENCE: Final = 100.0


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


def drift_e_value(
    slope: FloatArray, variance: FloatArray, taus: FloatArray
) -> FloatArray:
    """Return the mean over tau of the likelihood ratio of a N(0, tau^2) drift.

    Parameters
    ----------
    slope : least-squares slope [unit/yr], axes first, shape (A, ...)
    variance : of the slope [unit^2/yr^2]
    taus : sizes of drift [unit/yr], first dimension runs over sizes
    """
    precision = 1.0 / np.asarray(variance)
    return _e_value(np.asarray(slope) * precision, precision, taus)


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
    score, precision = _hinges(block, prior, variance)
    steps, n = block.t.shape
    place = np.arange(steps)[:, None] - block.begin
    share = np.where(place == 0, START_SHARE, (1.0 - START_SHARE) / HINGES)
    share = np.where((place < 0) | (place > HINGES), 0.0, share)
    taus = np.array(DRIFT_RATIOS)[:, None] * block.scale
    total = 1.0 - share.sum(axis=0)
    for row in range(steps):
        if np.any(share[row]):
            total += share[row] * _e_value(score[:, row], precision[row], taus)
    total = np.minimum(total, 1e280) / (
        1.0 + _one_gross_error(block, prior, variance, hyper)
    )
    return np.asarray(np.minimum(total, MOST_EVIDENCE)).reshape(n)


def _one_gross_error(
    block: Block, prior: Prior, variance: FloatArray, hyper: Hyper
) -> FloatArray:
    """Return the odds of "still with one gross error" to "still, all sound"."""
    axes, _, n = block.middle.shape
    still = Plain(np.zeros((axes, n)), np.zeros(n), prior.kappa2, np.zeros(n))
    left = leave_one_out(block, still, variance)
    sound = left.variance + variance
    gross = left.variance + hyper.outlier_ratio * variance
    log_odds = 0.5 * axes_sum(left.error**2) * (1.0 / sound - 1.0 / gross)
    log_odds -= 0.5 * axes * np.log(gross / sound)
    odds = np.where(block.valid, np.exp(np.minimum(log_odds, 690.0)), 0.0)
    share = hyper.outlier_share / (1.0 - hyper.outlier_share)
    return np.asarray(share * odds.sum(axis=0))


def start_slopes(
    block: Block, prior: Prior, variance: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the least-squares slope since the first reading and its variance.

    Shapes (A, N) and (N,); the variance is infinite where there is one reading only.
    """
    score, precision = _hinges(block, prior, variance)
    column = np.arange(block.rows.size)
    known = precision[block.begin, column]
    safe = np.where(known > 0.0, known, 1.0)
    slope = score[:, block.begin, column] / safe
    return slope, np.where(known > 0.0, 1.0 / safe, np.inf)


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
    size, precision = _step_scores(block, plain, variance)
    steps = block.t.shape[0]
    place = np.arange(steps)[:, None] - block.begin
    allowed = (place >= 2) & (precision > 0.0)
    known = np.where(allowed, precision, 1.0)
    taus = np.array(STEP_SDS)[:, None, None] * block.noise
    ratio = np.where(allowed, _e_value(size, precision, taus), 0.0)
    row = np.argmax(ratio, axis=0)
    column = np.arange(row.size)
    total = np.minimum(ratio[row, column], MOST_EVIDENCE)
    jump = size[:, row, column] / known[row, column]
    length = jump[0] if len(jump) == 1 else np.sqrt(axes_sum(jump**2))
    return Steps(row.astype(np.int64), np.asarray(length), total)


def _e_value(score: FloatArray, precision: FloatArray, taus: FloatArray) -> FloatArray:
    """Return the mean over tau of the likelihood ratio, from score and precision."""
    axes = score.shape[0]
    known = 1.0 + taus**2 * precision
    gain = axes_sum(score**2) * taus**2 / (2.0 * known)
    log_ratio = gain - 0.5 * axes * np.log(known)
    return np.asarray(np.exp(np.minimum(log_ratio, 690.0)).mean(axis=0))


def _hinges(
    block: Block, prior: Prior, variance: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return score (A, T, N) and precision (T, N) of a drift that begins at each row.

    Under stillness the level is a random walk; readings and hinges max(0, t - t_row)
    pass the same filter, so their innovations give generalised least squares.
    """
    axes, steps, n = block.middle.shape
    score, precision = np.zeros((axes, steps, n)), np.zeros((steps, n))
    reach = min(steps, int((steps - block.begin).max()))
    level, hinge = np.zeros((axes, n)), np.zeros((steps, n))
    pxx = 1e12 * block.noise**2
    for row in range(steps):
        if row:
            gap = block.t[row] - block.t[row - 1]
            pxx = pxx + prior.kappa2 * gap + block.jump[row]
        total = pxx + variance[row]
        gain = pxx / total
        error = block.middle[:, row] - level
        level = level + gain * error
        early = slice(max(0, steps - reach), row)
        ahead = block.t[row] - block.t[early] - hinge[early]
        hinge[early] += gain * ahead
        pxx = gain * variance[row]
        per_total = ahead / total
        precision[early] += per_total * ahead
        score[:, early] += per_total * error[:, None]
    return score, precision


def _step_scores(
    block: Block, plain: Plain, variance: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return score and precision of a jump at each row, level and slope free."""
    axes, steps, n = block.middle.shape
    score, precision = np.zeros((axes, steps, n)), np.zeros((steps, n))
    x, b = np.zeros((axes, n)), plain.slope.copy()
    sx, sb = np.zeros((steps, n)), np.zeros((steps, n))
    pxx, pxb = 1e12 * block.noise**2, np.zeros(n)
    pbb = plain.slope_variance.copy()
    for row in range(steps):
        d = block.t[row] - block.t[row - 1] if row else np.zeros(n)
        pxx = pxx + d * (2.0 * pxb + d * pbb) + plain.kappa2 * d + block.jump[row]
        pxx = pxx + plain.q * d**3 / 3.0
        pxb = pxb + d * pbb + plain.q * d * d / 2.0
        pbb = pbb + plain.q * d
        total = pxx + variance[row]
        level, slope = pxx / total, pxb / total
        x = x + d * b
        error = block.middle[:, row] - x
        x, b = x + level * error, b + slope * error
        past = slice(1, row + 1)
        sx[past] += d * sb[past]
        ahead = 1.0 - sx[past]
        sx[past] += level * ahead
        sb[past] += slope * ahead
        precision[past] += ahead / total * ahead
        score[:, past] += ahead / total * error[:, None]
        pbb = pbb - slope * pxb
        pxb, pxx = slope * variance[row], level * variance[row]
    return score, precision
