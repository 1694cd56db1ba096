"""Readings of one day become one; a logger's thousands become a few hundred.

The mean of m readings taken in one visit has variance
placement^2 + instrument^2 / m (+ resolution^2 / 12): repeating removes instrument
noise, not the noise of putting the instrument in place.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from monitor.trends.codes import BoolArray, FloatArray, IntArray
from monitor.trends.readings import Readings

SAME_DAY_YEARS: Final = 0.5 / 365.25
DAY_YEARS: Final = 1.0 / 365.25
MOST_READINGS: Final = 256


@dataclass(frozen=True, slots=True)
class Days:
    """Readings merged by day, and where each original reading went.

    Parameters
    ----------
    readings : one reading per series and day
    variance : noise variance of each merged reading [unit^2]
    scatter : part of `variance` that is not resolution [unit^2]
    day : index of the merged reading of each original reading
    """

    readings: Readings
    variance: FloatArray
    scatter: FloatArray
    day: IntArray


def merge_days(readings: Readings) -> Days:
    """Return one reading per series and day, long series thinned to 256 at most.

    Readings merge when they share series, instrument and relation and lie within half
    a day of one another; an unbroken row of them, from a logger, is cut into days.
    """
    begins = _begins(readings, np.full(len(readings), SAME_DAY_YEARS))
    first = _merge(readings, begins)
    count = np.bincount(first.readings.series)
    if not count.size or count.max() <= MOST_READINGS:
        return first
    return _merge(readings, _begins(readings, _bin_years(first.readings, readings)))


def _begins(readings: Readings, width_years: FloatArray) -> BoolArray:
    """Return which readings begin a new bin of the given width. [yr]"""
    if not len(readings):
        return np.zeros(0, dtype=np.bool_)
    edge = np.ones(len(readings), dtype=np.bool_)
    edge[1:] = np.diff(readings.series) != 0
    edge[1:] |= np.diff(readings.instrument) != 0
    edge[1:] |= np.diff(readings.relation) != 0
    begins = edge.copy()
    begins[1:] |= np.diff(readings.t_years) > width_years[1:]
    row = np.maximum.accumulate(np.where(begins, np.arange(begins.size), 0))
    day = np.floor((readings.t_years - readings.t_years[row]) / DAY_YEARS)
    begins[1:] |= np.diff(day) > 0.0
    long = width_years > SAME_DAY_YEARS
    if np.any(long):
        first = np.maximum.accumulate(np.where(edge, np.arange(edge.size), 0))
        cell = np.floor((readings.t_years - readings.t_years[first]) / width_years)
        begins[1:] = np.where(long[1:], edge[1:] | (np.diff(cell) > 0), begins[1:])
    return begins


def _bin_years(merged: Readings, readings: Readings) -> FloatArray:
    """Return the width of the time bins of each reading's series. [yr]"""
    count = np.bincount(merged.series, minlength=int(readings.series.max()) + 1)
    first = np.searchsorted(readings.series, np.arange(count.size))
    last = np.searchsorted(readings.series, np.arange(count.size), side="right") - 1
    last = np.maximum(last, 0)
    first = np.minimum(first, len(readings) - 1)
    span = np.maximum(readings.t_years[last] - readings.t_years[first], 0.0)
    width = np.where(
        count > MOST_READINGS, 1.001 * span / MOST_READINGS, SAME_DAY_YEARS
    )
    return np.asarray(np.maximum(width, SAME_DAY_YEARS)[readings.series])


def _merge(readings: Readings, begins: BoolArray) -> Days:
    instrument, placement = readings.sd_instrument**2, readings.sd_placement**2
    resolution = readings.resolution**2 / 12.0
    if np.all(begins):
        scatter = instrument + placement
        day = np.arange(len(readings), dtype=np.int64)
        return Days(readings, scatter + resolution, scatter, day)
    at = np.flatnonzero(begins)
    many = np.diff(np.append(at, begins.size)).astype(np.float64)

    def mean(values: FloatArray) -> FloatArray:
        return np.asarray(np.add.reduceat(values, at) / many)

    first = readings.take(at)
    merged = Readings(
        series=first.series,
        t_years=mean(readings.t_years),
        value=mean(readings.value),
        value_y=mean(readings.value_y),
        sd_instrument=first.sd_instrument,
        sd_placement=first.sd_placement,
        resolution=first.resolution,
        relation=first.relation,
        instrument=first.instrument,
        season=first.season,
    )
    scatter = mean(instrument) / many + mean(placement)
    day = np.cumsum(begins).astype(np.int64) - 1
    return Days(merged, scatter + mean(resolution), scatter, day)
