"""Plain ranks: a slope and a test that one gross error does not upset.

Each function answers many series at once: the last axis runs over the readings of a
series, and every series of one call has the same number of them.

References
----------
.. [1] Theil, Proc. Kon. Ned. Akad. Wetensch. A 53 (1950) 386 (from memory).
.. [2] Sen, J. Am. Statist. Assoc. 63 (1968) 1379: the interval, repeated times.
.. [3] Mann, Econometrica 13 (1945) 245: the test and its exact tails (from memory).
.. [4] Kendall, Rank Correlation Methods, 4th ed. 1975: ties on either side, and the
       correction for continuity (from memory).
"""

import math
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np
from scipy.special import ndtr, ndtri

from monitor.trends.codes import FloatArray

EXACT_UP_TO: Final = 10
"""So many readings without ties get exact tails."""


@dataclass(frozen=True, slots=True)
class Slopes:
    """Theil-Sen slopes with Sen's interval; NaN where all times are one. [unit/yr]"""

    low: FloatArray
    middle: FloatArray
    high: FloatArray


@dataclass(frozen=True, slots=True)
class Ranks:
    """What the order of the readings says.

    Attributes
    ----------
    s : pairs that rise less pairs that fall
    variance : of `s` if nothing moves, ties allowed for
    p : two-sided chance of an `s` as far from zero if nothing moves
    """

    s: FloatArray
    variance: FloatArray
    p: FloatArray

    @property
    def z(self) -> FloatArray:
        """Return `s` in standard deviations, corrected for continuity."""
        size = np.maximum(np.abs(self.s) - 1.0, 0.0)
        sd = np.sqrt(np.where(self.variance > 0.0, self.variance, np.inf))
        return np.asarray(np.sign(self.s) * size / sd)


def sen_slopes(t_years: FloatArray, value: FloatArray, chance: float) -> Slopes:
    """Return the median of the slopes of all pairs, and its interval.

    Pairs of one time have no slope and are left out. The interval is that of Sen
    1968; where times and readings are both tied, its variance is Kendall's.

    Parameters
    ----------
    t_years, value : shape (..., readings) [yr], [unit]
    chance : of the interval
    """
    first, second = np.triu_indices(t_years.shape[-1], 1)
    gap = t_years[..., second] - t_years[..., first]
    rise = value[..., second] - value[..., first]
    slopes = np.sort(rise / np.where(gap == 0.0, np.nan, gap), axis=-1)  # NaN last
    pairs = np.sum(gap != 0.0, axis=-1)
    variance = _variance(t_years.shape[-1], _ties(t_years), _ties(value))
    reach = ndtri(0.5 + 0.5 * chance) * np.sqrt(variance)
    low = np.maximum(np.rint((pairs - reach) / 2.0) - 1.0, 0.0)
    high = np.minimum(np.rint((pairs + reach) / 2.0), pairs - 1.0)

    def ranked(rank: FloatArray) -> FloatArray:
        place = np.maximum(rank, 0.0).astype(np.int64)[..., None]
        return np.asarray(np.take_along_axis(slopes, place, axis=-1)[..., 0])

    lower, upper = np.floor((pairs - 1.0) / 2.0), np.ceil((pairs - 1.0) / 2.0)
    return Slopes(ranked(low), (ranked(lower) + ranked(upper)) / 2.0, ranked(high))


def mann_kendall(t_years: FloatArray, value: FloatArray) -> Ranks:
    """Return Mann and Kendall's test against "nothing moves".

    Exact for up to ten readings without ties; else by the normal distribution with
    the corrections for ties and for continuity.

    Parameters
    ----------
    t_years, value : shape (..., readings) [yr], [unit]
    """
    n = t_years.shape[-1]
    first, second = np.triu_indices(n, 1)
    order = np.sign(t_years[..., second] - t_years[..., first])
    s = np.sum(order * np.sign(value[..., second] - value[..., first]), axis=-1)
    same_time, same_value = _ties(t_years), _ties(value)
    by_normal = Ranks(s, _variance(n, same_time, same_value), s)
    p = 2.0 * ndtr(-np.abs(by_normal.z))
    if n <= EXACT_UP_TO:
        tails = np.array(_tails(n))
        exact = np.minimum(2.0 * tails[np.abs(s).astype(np.int64)], 1.0)
        is_tied = (same_time.sum(axis=-1) > 0.0) | (same_value.sum(axis=-1) > 0.0)
        p = np.where(is_tied, p, exact)
    return Ranks(s, by_normal.variance, np.asarray(p))


@cache
def _tails(n: int) -> tuple[float, ...]:
    """Return the chance that S of n readings is at least 0, 1, 2, ...

    S = pairs - 2 inversions, and the inversions of a random order are counted by the
    product of 1 + x + ... + x^k for k = 1 .. n - 1 (Mann 1945).
    """
    pairs = n * (n - 1) // 2
    counts = np.ones(1)
    for k in range(1, n):
        counts = np.convolve(counts, np.ones(k + 1))
    total = float(math.factorial(n))
    return tuple(
        float(counts[: (pairs - least) // 2 + 1].sum()) / total
        for least in range(pairs + 1)
    )


def _ties(values: FloatArray) -> FloatArray:
    """Return how many others equal each value."""
    equal = values[..., :, None] == values[..., None, :]
    return np.asarray(np.sum(equal, axis=-1) - 1.0)


def _variance(n: int, same_time: FloatArray, same_value: FloatArray) -> FloatArray:
    """Return the variance of S with ties on either side (Kendall 1975)."""
    variance = n * (n - 1) * (2 * n + 5) - _lost(same_time) - _lost(same_value)
    both = same_time.sum(axis=-1) * same_value.sum(axis=-1)
    triples = _triples(same_time) * _triples(same_value)
    if n > 1:
        variance = variance / 18.0 + both / (2.0 * n * (n - 1))
    if n > 2:
        variance = variance + triples / (9.0 * n * (n - 1) * (n - 2))
    return np.asarray(variance)


def _lost(ties: FloatArray) -> FloatArray:
    """Return the sum of k (k - 1) (2k + 5) over groups of k equal values."""
    return np.asarray(np.sum(ties * (2.0 * ties + 7.0), axis=-1))


def _triples(ties: FloatArray) -> FloatArray:
    return np.asarray(np.sum(ties * (ties - 1.0), axis=-1))
