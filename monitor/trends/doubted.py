"""Readings that look as if they had been written in another unit.

A level is doubted where it lies far outside the usual spread of its kind, on a log
scale, and a factor between units brings it back inside. So a group that is wide by
nature, or that sits near zero, is never doubted; nor is a half of a group in another
unit told from the other half. A single reading is doubted where such a factor parts it
from its two neighbours, and these agree. The factors are those between millimetres and
centimetres, inches, feet or metres, and between inches and feet. The bounds are common
practice without a source.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from monitor.trends.codes import FloatArray, IntArray
from monitor.trends.readings import Readings, Series

FACTORS: Final = (10.0, 12.0, 25.4, 304.8, 1000.0)
FEWEST_SERIES: Final = 8
TELLABLE_SDS: Final = 3.0
"""A size of fewer sds of its noise is no size to speak of."""
TELLABLE_SHARE: Final = 0.8
"""Of the series of a group; where fewer have a size, it sits near zero."""
OUTSIDE_SDS: Final = 5.0
INSIDE_SDS: Final = 3.0
LEAST_SPREAD: Final = 0.05
AGREE_WITHIN: Final = 0.25
"""Neighbours further apart, as logs, do not tell what lies between them."""

_TO_SD: Final = 1.4826
_STEPS: Final = np.concatenate((np.log(FACTORS), -np.log(FACTORS)))


@dataclass(frozen=True, slots=True)
class UsualLevel:
    """Size of the readings of a group: middle and robust sd of their logs."""

    middle: float
    spread: float


@dataclass(frozen=True, slots=True)
class UnitDoubts:
    """By which factor readings look too large (above 1) or too small; 1 is sound.

    Parameters
    ----------
    series : each series beside its group, shape (N,)
    reading : each reading beside the others of its series, shape (M,)
    """

    series: FloatArray
    reading: FloatArray


def usual_levels(readings: Readings, series: Series) -> dict[int, UsualLevel]:
    """Return the usual level of every group with eight series or more."""
    level, _ = _levels(readings, len(series))
    found = {}
    for group in np.unique(series.group).tolist():
        all_of_it = level[(series.group == group) & ~np.isnan(level)]
        own = all_of_it[np.isfinite(all_of_it)]
        if own.size >= max(FEWEST_SERIES, TELLABLE_SHARE * all_of_it.size):
            middle = float(np.median(own))
            spread = _TO_SD * float(np.median(np.abs(own - middle)))
            found[group] = UsualLevel(middle, max(spread, LEAST_SPREAD))
    return found


def doubted_units(
    readings: Readings, series: Series, usual: Mapping[int, UsualLevel]
) -> UnitDoubts:
    """Return which series, and which readings of a series, look out of their unit.

    Parameters
    ----------
    usual : of the groups, from a whole fleet; a group that is missing is not judged
    """
    level, noise = _levels(readings, len(series))
    nothing = UsualLevel(np.nan, np.nan)
    groups = [usual.get(group, nothing) for group in series.group.tolist()]
    middle = np.array([group.middle for group in groups], dtype=np.float64)
    spread = np.array([group.spread for group in groups], dtype=np.float64)
    by_series = _factor(level - middle, np.hypot(spread, noise))
    return UnitDoubts(by_series, _by_reading(readings, len(series)))


def _by_reading(readings: Readings, n: int) -> FloatArray:
    """Return the factor between each reading and its two neighbours in its series."""
    factor = np.ones(len(readings))
    count = np.bincount(readings.series, minlength=n)[readings.series]
    place = np.flatnonzero(count >= 3)
    is_first = np.diff(readings.series, prepend=-1)[place] != 0
    is_last = np.diff(readings.series, append=n)[place] != 0
    one = np.where(is_first, place + 2, place - 1)
    other = np.where(is_last, place - 2, place + 1)
    log, noise = _logs(readings)
    log = np.where(np.isfinite(log), log, np.nan)
    away = log[place] - (log[one] + log[other]) / 2.0
    is_told = np.abs(log[one] - log[other]) < AGREE_WITHIN
    spread = np.where(is_told, np.hypot(LEAST_SPREAD, noise[place]), np.nan)
    factor[place] = _factor(away, spread)
    return factor


def _factor(away: FloatArray, spread: FloatArray) -> FloatArray:
    """Return the factor between units nearest to a log distance, 1 if none is near."""
    away = np.where(np.isfinite(away), away, 0.0)
    nearest = np.argmin(np.abs(away[:, None] - _STEPS), axis=1)
    is_outside = np.abs(away) > OUTSIDE_SDS * spread
    is_near = np.abs(away - _STEPS[nearest]) < INSIDE_SDS * spread
    return np.where(is_outside & is_near, np.exp(_STEPS[nearest]), 1.0)


def _levels(readings: Readings, n: int) -> tuple[FloatArray, FloatArray]:
    """Return the log of the usual size of each series, and its uncertainty.

    Minus infinity where the size can not be told from zero, NaN without readings.
    """
    log, noise = _logs(readings)
    known = ~np.isnan(log)
    at = readings.series[known]
    return _middles(at, log[known], n), _middles(at, noise[known], n)


def _logs(readings: Readings) -> tuple[FloatArray, FloatArray]:
    """Return the log of the size of each reading, and the noise of that log.

    Minus infinity where the size can not be told from zero, NaN where it is no number.
    """
    size = np.hypot(readings.value, np.nan_to_num(readings.value_y))
    variance = readings.sd_instrument**2 + readings.sd_placement**2
    sd = np.sqrt(variance + readings.resolution**2 / 12.0)
    is_small = size <= TELLABLE_SDS * sd
    safe = np.where(is_small | (size == 0.0) | ~np.isfinite(size), 1.0, size)
    log = np.where(is_small, -np.inf, np.log(safe))
    return np.where(np.isfinite(size), log, np.nan), sd / safe


def _middles(index: IntArray, values: FloatArray, n: int) -> FloatArray:
    """Return the median of the values of each index, NaN where there are none."""
    ordered = values[np.lexsort((values, index))]
    count = np.bincount(index, minlength=n)
    first = np.cumsum(count) - count
    middle = np.full(n, np.nan)
    has = count > 0
    low, high = (count[has] - 1) // 2, count[has] // 2
    middle[has] = (ordered[first[has] + low] + ordered[first[has] + high]) / 2.0
    return middle
