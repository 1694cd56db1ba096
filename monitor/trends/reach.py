"""The compiled loop behind the crossing dates, one series after the other.

References
----------
.. [1] Sankaran, Biometrika 50 (1963) 199: normal approximation to the non-central
       chi-square, used for leaving a circle (from memory).
"""

import math
from typing import Final, NamedTuple

import numpy as np

from monitor.trends.codes import BoolArray, FloatArray, IntArray
from monitor.trends.compiled import (
    CERTAIN,
    compiled,
    inlined,
    normal_below,
    normal_quantile,
)
from monitor.trends.laws import warp_one
from monitor.trends.prior import (
    HAZARD,
    KAPPA2,
    PRIOR_FRESH,
    PRIOR_MEAN,
    PRIOR_VARIANCE,
    Q,
)
from monitor.trends.track import (
    LEVEL,
    PBB,
    PXB,
    PXX,
    REGIMES,
    SLOPE,
    STATE_COLUMNS,
    WEIGHT,
)

QUANTILES: Final = (0.05, 0.50, 0.95)
REFINEMENTS: Final = 4
FIRST_YEARS: Final = 0.2
_MOMENTS: Final = tuple(0.5 + 0.5 * u for u in (-math.sqrt(0.6), 0.0, math.sqrt(0.6)))
_SHARES: Final = (5 / 18, 8 / 18, 5 / 18)
_TINY: Final = 1e-13
_NEAR: Final = 1e-6

_FRESH: Final = STATE_COLUMNS
_VARIANCE: Final = STATE_COLUMNS + 1
_MEAN: Final = STATE_COLUMNS + 2
_SHARE: Final = STATE_COLUMNS
_STRETCH: Final = STATE_COLUMNS + 1
_LAW: Final = STATE_COLUMNS + 2
_SPOT_COLUMNS: Final = STATE_COLUMNS + 4


class Ahead(NamedTuple):
    """Paths and a limit as the compiled loop takes them: L laws, N series.

    Parameters
    ----------
    states : tables of each law, shape (L, N, K, 8)
    shares, stretches : of each law, shape (L, N)
    laws : code of each law
    now : age today [yr]
    table, walk : of the prior
    limit, centre_x, centre_y, is_radius : the limit, see `Target`
    """

    states: FloatArray
    shares: FloatArray
    stretches: FloatArray
    laws: IntArray
    now: FloatArray
    table: FloatArray
    walk: FloatArray
    limit: FloatArray
    centre_x: FloatArray
    centre_y: FloatArray
    is_radius: BoolArray
    axes: int


class Aim(NamedTuple):
    """The limit of one series, its random walks and how it is read."""

    limit: float
    is_radius: bool
    axes: int
    now: float
    kappa2: float
    q: float
    hazard: float


class Part(NamedTuple):
    """A normal part of the level some time ahead, from the centre."""

    x: float
    y: float
    variance: float


@compiled
def cross_all(
    ahead: Ahead, grid: FloatArray, years: FloatArray, beyond: FloatArray
) -> None:
    """Write the times at which the chances are reached, and the chance of today."""
    laws = ahead.laws.size
    curve, spots = np.empty(grid.size), np.zeros((laws, REGIMES + 1, _SPOT_COLUMNS))
    for i in range(beyond.size):
        aim = _aim(ahead, i)
        for law in range(laws):
            _settle(ahead, law, i, spots[law])
        known = _fill(aim, spots, grid, curve)
        beyond[i] = _chance_beyond(aim, spots, 0.0)
        for which in range(len(QUANTILES)):
            table = grid[:known], curve[:known]
            years[which, i] = _solve(aim, spots, table, QUANTILES[which])


@inlined
def _aim(ahead: Ahead, i: int) -> Aim:
    walk = ahead.walk[i]
    return Aim(
        ahead.limit[i],
        ahead.is_radius[i],
        ahead.axes,
        ahead.now[i],
        walk[KAPPA2],
        walk[Q],
        walk[HAZARD],
    )


@inlined
def _settle(ahead: Ahead, law: int, i: int, spot: FloatArray) -> None:
    """Write where a series stands under a law: a row for each regime, one for all.

    The last row holds the moments of the regimes taken together:
    E[level^2] = pxx + 2 * pxb * d + pbb * d^2 after warped time d.
    """
    state, table, axes = ahead.states[law, i], ahead.table[i], ahead.axes
    spot[:] = 0.0
    whole = spot[REGIMES]
    for k in range(REGIMES):
        row, g = spot[k], state[k, WEIGHT]
        row[:STATE_COLUMNS] = state[k]
        row[LEVEL] -= ahead.centre_x[i]
        row[LEVEL + 1] -= ahead.centre_y[i] if axes > 1 else 0.0
        row[_FRESH], row[_VARIANCE] = table[k, PRIOR_FRESH], table[k, PRIOR_VARIANCE]
        row[_MEAN], row[_MEAN + 1] = table[k, PRIOR_MEAN], table[k, PRIOR_MEAN + 1]
        x, y, bx, by = row[LEVEL], row[LEVEL + 1], row[SLOPE], row[SLOPE + 1]
        whole[PXX] += g * (row[PXX] + (x * x + y * y) / axes)
        whole[PXB] += g * (row[PXB] + (x * bx + y * by) / axes)
        whole[PBB] += g * (row[PBB] + (bx * bx + by * by) / axes)
        for column in range(LEVEL, STATE_COLUMNS):
            whole[column] += g * row[column]
    whole[_SHARE], whole[_STRETCH] = ahead.shares[law, i], ahead.stretches[law, i]
    whole[_LAW] = ahead.laws[law]


@inlined
def _fill(aim: Aim, spots: FloatArray, grid: FloatArray, curve: FloatArray) -> int:
    """Write the running maximum of the chance over the grid; return how far."""
    highest = 0.0
    for known in range(grid.size):
        highest = max(highest, _chance_beyond(aim, spots, grid[known]))
        curve[known] = highest
        if highest >= QUANTILES[-1]:
            return known + 1
    return grid.size


@inlined
def _chance_beyond(aim: Aim, spots: FloatArray, years: float) -> float:
    """Return the chance that the level is beyond the limit after some years."""
    total = 0.0
    for law in range(len(spots)):
        spot = spots[law]
        share = spot[REGIMES, _SHARE]
        if share > 0.0:
            total += share * _chance_under(aim, spot, years)
    return total


@inlined
def _chance_under(aim: Aim, spot: FloatArray, years: float) -> float:
    """Return that chance under one law: slopes are kept, or drawn anew on the way."""
    whole = spot[REGIMES]
    code = int(whole[_LAW])
    start = warp_one(code, aim.now)
    end = warp_one(code, aim.now + years) - start
    changed = -math.expm1(-aim.hazard * years)
    kept = 0.0
    for k in range(REGIMES):
        part = _moved(aim, spot[k], end)
        kept += spot[k, WEIGHT] * _outside(aim, part, whole[_STRETCH])
    total = (1.0 - changed) * kept
    if changed > 0.0:
        for m in range(len(_MOMENTS)):
            before = warp_one(code, aim.now + _MOMENTS[m] * years) - start
            drawn = _chance_drawn(aim, spot, before, end - before)
            total += changed * _SHARES[m] * drawn
    return total


@inlined
def _chance_drawn(aim: Aim, spot: FloatArray, before: float, after: float) -> float:
    """Return that chance when the slope is drawn anew between two stretches."""
    whole = spot[REGIMES]
    middle = _moved(aim, whole, before)
    square = (middle.x * middle.x + middle.y * middle.y) / aim.axes
    # The walks belong to the variance, not to the second moment; take them out first.
    walks = aim.kappa2 * before + aim.q * before**3 / 3.0
    pooled = max(middle.variance - walks - square, 0.0) + walks
    pooled += aim.kappa2 * after + aim.q * after**3 / 3.0
    total = 0.0
    for k in range(REGIMES):
        row = spot[k]
        part = Part(
            middle.x + after * row[_MEAN],
            middle.y + after * row[_MEAN + 1],
            pooled + after * after * row[_VARIANCE],
        )
        total += row[_FRESH] * _outside(aim, part, whole[_STRETCH])
    return total


@inlined
def _moved(aim: Aim, row: FloatArray, d: float) -> Part:
    variance = row[PXX] + d * (2.0 * row[PXB] + d * row[PBB])
    variance += aim.kappa2 * d + aim.q * d**3 / 3.0
    return Part(
        row[LEVEL] + d * row[SLOPE], row[LEVEL + 1] + d * row[SLOPE + 1], variance
    )


@inlined
def _outside(aim: Aim, part: Part, stretch: float) -> float:
    variance = part.variance * stretch
    if aim.axes > 1:
        away = math.hypot(part.x, part.y)
        return chance_outside_circle(away, math.sqrt(variance), aim.limit)
    chance = _above(part.x - aim.limit, variance)
    if aim.is_radius:
        chance += _above(-part.x - aim.limit, variance)
    return chance


@inlined
def _above(excess: float, variance: float) -> float:
    """Return the chance that a normal value with this mean is above zero."""
    if excess * excess > CERTAIN**2 * variance:  # the common case, without a root
        return 0.0 if excess < 0.0 else 1.0
    return normal_below(excess / math.sqrt(variance))


@inlined
def chance_outside_circle(distance: float, sd: float, radius: float) -> float:
    """Return the chance that a two-axis normal point lies outside a circle.

    Parameters
    ----------
    distance : of the mean from the centre [unit]
    sd : of each axis [unit]
    radius : of the circle [unit]
    """
    lam = (distance / sd) ** 2
    ratio = (max(radius, 0.0) / sd) ** 2 / (2.0 + lam)
    p = (2.0 + 2.0 * lam) / (2.0 + lam) ** 2
    h = 1.0 - (2.0 / 3.0) * (2.0 + lam) * (2.0 + 3.0 * lam) / (2.0 + 2.0 * lam) ** 2
    m = (h - 1.0) * (1.0 - 3.0 * h)
    mean = 1.0 + h * p * (h - 1.0 - 0.5 * (2.0 - h) * m * p)
    z = (ratio**h - mean) / (h * math.sqrt(2.0 * p) * (1.0 + 0.5 * m * p))
    return normal_below(-z)


@inlined
def _solve(
    aim: Aim,
    spots: FloatArray,
    table: tuple[FloatArray, FloatArray],
    chance: float,
) -> float:
    """Return the time at which the chance is reached, infinite if it never is.

    False position: time runs on a log scale and chances on the normal scale, where
    curves are nearly straight.
    """
    grid, curve = table
    high = int(np.searchsorted(curve, chance))
    if high == curve.size:
        return math.inf
    if high == 0:
        return 0.0
    want = normal_quantile(chance)
    s0, s1 = _log_time(grid[high - 1]), _log_time(grid[high])
    z0, z1 = _normal(curve[high - 1]) - want, _normal(curve[high]) - want
    was_low = False
    for step in range(REFINEMENTS):
        s = _between(s0, s1, z0, z1)
        z = _normal(_chance_beyond(aim, spots, math.exp(s) - FIRST_YEARS)) - want
        if abs(z) < _NEAR:
            return max(math.exp(s) - FIRST_YEARS, 0.0)
        # Illinois: an end that stays twice counts half, so both ends close in.
        if z < 0.0:
            z1 = 0.5 * z1 if step and was_low else z1
            s0, z0, was_low = s, z, True
        else:
            z0 = 0.5 * z0 if step and not was_low else z0
            s1, z1, was_low = s, z, False
    return max(math.exp(_between(s0, s1, z0, z1)) - FIRST_YEARS, 0.0)


@inlined
def _between(s0: float, s1: float, z0: float, z1: float) -> float:
    """Return where a straight line between two ends is zero, inside them."""
    return min(max(s0 - z0 * (s1 - s0) / max(z1 - z0, _TINY), s0), s1)


@inlined
def _log_time(years: float) -> float:
    return math.log(years + FIRST_YEARS)


@inlined
def _normal(chance: float) -> float:
    return normal_quantile(min(max(chance, _TINY), 1.0 - _TINY))
