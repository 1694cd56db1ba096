"""Plain lines through readings: the textbook answer beside our own.

They take every reading at face value and hold for one look only. Each function answers
many series at once: the last axis runs over the readings of a series, and every series
of one call has the same number of them.

References
----------
.. [1] Draper and Smith, Applied Regression Analysis, 3rd ed. 1998, chapters 1 and 3
       (from memory).
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from monitor.trends.codes import FloatArray

Interval = tuple[FloatArray, FloatArray]
"""Lower and upper end."""


@dataclass(frozen=True, slots=True)
class Line:
    """A least-squares line; NaN where the readings do not settle it.

    Attributes
    ----------
    slope, slope_sd : and its standard error [unit/yr]
    level : of the line at `centre` [unit]
    centre : mean time of the readings, 0 for a line through the origin [yr]
    sd : of the readings about the line [unit]
    df : degrees of freedom of `sd`
    weight : one over the variance of `level`, in units of `sd`; infinite at an origin
    """

    slope: FloatArray
    slope_sd: FloatArray
    level: FloatArray
    centre: FloatArray
    sd: FloatArray
    df: int
    weight: float

    @property
    def intercept(self) -> FloatArray:
        """Level of the line at time zero. [unit]"""
        return self.at(np.zeros_like(self.centre))

    @property
    def intercept_sd(self) -> FloatArray:
        """Standard error of the level at time zero. [unit]"""
        return self._sd_at(np.zeros_like(self.centre))

    def at(self, t_years: FloatArray) -> FloatArray:
        """Return the level of the line. [unit]"""
        return np.asarray(self.level + self.slope * (t_years - self.centre))

    def slope_interval(self, chance: float) -> Interval:
        """Return the interval of the slope by Student's t. [unit/yr]"""
        return self._about(self.slope, self.slope_sd, chance)

    def level_interval(self, t_years: FloatArray, chance: float) -> Interval:
        """Return the interval of the line itself. [unit]"""
        return self._about(self.at(t_years), self._sd_at(t_years), chance)

    def reading_interval(self, t_years: FloatArray, chance: float) -> Interval:
        """Return the interval of one new reading. [unit]"""
        spread = np.hypot(self.sd, self._sd_at(t_years))
        return self._about(self.at(t_years), spread, chance)

    def _sd_at(self, t_years: FloatArray) -> FloatArray:
        away = self.slope_sd * (t_years - self.centre)
        return np.asarray(np.hypot(self.sd / np.sqrt(self.weight), away))

    def _about(self, middle: FloatArray, sd: FloatArray, chance: float) -> Interval:
        if self.df < 1:
            nothing = np.full_like(middle, np.nan)
            return nothing, nothing
        half = stdtrit(self.df, 0.5 + 0.5 * chance) * sd
        return middle - half, middle + half


def least_squares(t_years: FloatArray, value: FloatArray) -> Line:
    """Return the line with the least sum of squares.

    Times and readings are centred first, so calendar years cost no digits.

    Parameters
    ----------
    t_years, value : shape (..., readings) [yr], [unit]
    """
    centre, mean = t_years.mean(axis=-1), value.mean(axis=-1)
    t, y = t_years - centre[..., None], value - mean[..., None]
    # What rounding left in the means is taken out once more.
    t, y = t - t.mean(axis=-1)[..., None], y - y.mean(axis=-1)[..., None]
    n = t_years.shape[-1]
    slope, slope_sd, sd = _fitted(t, y, n - 2)
    return Line(slope, slope_sd, mean, centre, sd, n - 2, float(n))


def through_origin(t_years: FloatArray, value: FloatArray) -> Line:
    """Return the least-squares line that is zero at time zero.

    Parameters
    ----------
    t_years, value : shape (..., readings) [yr], [unit]
    """
    n = t_years.shape[-1]
    slope, slope_sd, sd = _fitted(t_years, value, n - 1)
    nothing = np.zeros_like(slope)
    return Line(slope, slope_sd, nothing, nothing, sd, n - 1, np.inf)


def _fitted(
    t: FloatArray, y: FloatArray, df: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return slope, its standard error, and the standard deviation about the line."""
    square = np.sum(t * t, axis=-1)
    square = np.where(square > 0.0, square, np.nan)
    slope = np.sum(t * y, axis=-1) / square
    rest = y - slope[..., None] * t
    if df < 1:
        nothing = np.full_like(slope, np.nan)
        return slope, nothing, nothing
    sd = np.sqrt(np.sum(rest * rest, axis=-1) / df)
    return slope, sd / np.sqrt(square), sd
