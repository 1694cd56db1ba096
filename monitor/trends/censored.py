"""Readings of which only "less than" or "more than" is known.

The normal density of a reading gives way to the chance of lying on the known side;
its first two derivatives move mean and variance (Tobin 1958; moment matching, from
memory).
"""

import math
from typing import Final

from monitor.trends.codes import FloatArray
from monitor.trends.compiled import inlined, log_normal_below
from monitor.trends.track import (
    ERROR,
    FIT,
    LEVEL,
    LOGLIK,
    PBB,
    PXB,
    PXX,
    REGIMES,
    SLOPE,
    VARIANCE,
    WEIGHT,
)

_LOG_ROOT_2PI: Final = 0.5 * math.log(2.0 * math.pi)
_FAR: Final = -100.0


@inlined
def take_side(
    state: FloatArray, sums: FloatArray, seen: FloatArray, relation: int
) -> None:
    """Correct a scalar series by a reading of which only the side is known.

    Parameters
    ----------
    state, sums, seen : rows of one series, see `track`
    relation : -1 below, +1 above
    """
    side = -float(relation)
    top = -math.inf
    for k in range(REGIMES):
        sd = math.sqrt(seen[k, VARIANCE])
        a = side * seen[k, ERROR] / sd
        log_side = log_normal_below(a)
        seen[k, FIT] = log_side
        top = max(top, log_side)
        ratio = _bell_over_chance(a, log_side)
        pull = min(max(ratio * (ratio + a), 0.0), 1.0)
        _move(state[k], -side * ratio / sd, pull / sd**2)
    total = 0.0
    for k in range(REGIMES):
        state[k, WEIGHT] *= math.exp(seen[k, FIT] - top)
        total += state[k, WEIGHT]
    for k in range(REGIMES):
        state[k, WEIGHT] /= total
    sums[LOGLIK] += math.log(total) + top


@inlined
def _bell_over_chance(a: float, log_side: float) -> float:
    """Return the normal density at `a` over the chance below it."""
    if a < _FAR:
        return -a - 1.0 / a
    return math.exp(-0.5 * a * a - _LOG_ROOT_2PI - log_side)


@inlined
def _move(row: FloatArray, push: float, pull: float) -> None:
    pxx, pxb = row[PXX], row[PXB]
    row[LEVEL] += pxx * push
    row[SLOPE] += pxb * push
    row[PXX] = pxx - pxx * pxx * pull
    row[PXB] = pxb - pxx * pxb * pull
    row[PBB] -= pxb * pxb * pull
