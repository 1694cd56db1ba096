"""Readings of which only "less than" or "more than" is known.

The normal density of a reading gives way to the chance of lying on the known side;
its first two derivatives move mean and variance (Tobin 1958; moment matching, from
memory).
"""

from typing import Final

import numpy as np
from scipy.special import log_ndtr

from monitor.trends.codes import FloatArray, IntArray
from monitor.trends.track import Foresight, Track

_LOG_ROOT_2PI: Final = 0.5 * float(np.log(2.0 * np.pi))


def correct(track: Track, before: Track, seen: Foresight, relation: IntArray) -> None:
    """Replace the plain correction of the censored columns of a scalar block.

    Parameters
    ----------
    track : state after the plain correction; its censored columns are rewritten
    before : state before the correction
    seen : what was expected of the reading
    relation : -1 below, +1 above, 0 plain, for each series
    """
    at = np.flatnonzero(relation)
    if not at.size:
        return
    side = -relation[at].astype(np.float64)
    sd = np.sqrt(seen.variance[:, at])
    a = side * seen.error[0][:, at] / sd
    log_side = log_ndtr(a)
    ratio = np.exp(-0.5 * a * a - _LOG_ROOT_2PI - log_side)
    push = -side * ratio / sd
    pull = ratio * (ratio + a) / sd**2
    top = log_side.max(axis=0)
    fit = before.weight[:, at] * np.exp(log_side - top)
    track.loglik[at] = before.loglik[at] + np.log(fit.sum(axis=0)) + top
    track.weight[:, at] = fit / fit.sum(axis=0)
    track.surprise[at], track.counted[at] = before.surprise[at], before.counted[at]
    _move(track, before, at, (push, pull))


def _move(
    track: Track, before: Track, at: IntArray, slopes: tuple[FloatArray, FloatArray]
) -> None:
    push, pull = slopes
    pxx, pxb = before.pxx[:, at], before.pxb[:, at]
    track.x[0][:, at] = before.x[0][:, at] + pxx * push
    track.b[0][:, at] = before.b[0][:, at] + pxb * push
    track.pxx[:, at] = pxx - pxx * pxx * pull
    track.pxb[:, at] = pxb - pxx * pxb * pull
    track.pbb[:, at] = before.pbb[:, at] - pxb * pxb * pull
