"""The running state of the filter and what it expects of the next reading.

Both are tables with one row of numbers for each series and regime, side by side in
memory, so that a compiled loop finds all of one series together. A scalar leaves the
columns of the second axis at zero.
"""

from dataclasses import dataclass
from typing import Final, Self

import numpy as np

from monitor.trends.codes import FloatArray, IntArray

REGIMES: Final = 4

WEIGHT: Final = 0
PXX: Final = 1
PXB: Final = 2
PBB: Final = 3
LEVEL: Final = 4
SLOPE: Final = 6
STATE_COLUMNS: Final = 8

SURPRISE: Final = 0
COUNTED: Final = 1
LOGLIK: Final = 2
SUM_COLUMNS: Final = 3

VARIANCE: Final = 1
ERROR: Final = 2
FIT: Final = 4
PRECISION: Final = 5
SEEN_COLUMNS: Final = 6


@dataclass(frozen=True, slots=True)
class Track:
    """The running state: K regimes, A axes, N series.

    Parameters
    ----------
    state : columns `WEIGHT` to `SLOPE`, shape (N, K, 8)
    sums : columns `SURPRISE`, `COUNTED`, `LOGLIK`, shape (N, 3)
    axes : 1, or 2 for vectors
    """

    state: FloatArray
    sums: FloatArray
    axes: int

    @property
    def x(self) -> FloatArray:
        """Level of each regime [unit], shape (A, K, N)."""
        return np.asarray(self.state.T[LEVEL : LEVEL + self.axes])

    @property
    def b(self) -> FloatArray:
        """Slope of each regime [unit/yr], shape (A, K, N)."""
        return np.asarray(self.state.T[SLOPE : SLOPE + self.axes])

    @property
    def pxx(self) -> FloatArray:
        """Variance of the level [unit^2], shape (K, N)."""
        return np.asarray(self.state.T[PXX])

    @property
    def pxb(self) -> FloatArray:
        """Covariance of level and slope [unit^2/yr], shape (K, N)."""
        return np.asarray(self.state.T[PXB])

    @property
    def pbb(self) -> FloatArray:
        """Variance of the slope [unit^2/yr^2], shape (K, N)."""
        return np.asarray(self.state.T[PBB])

    @property
    def weight(self) -> FloatArray:
        """Probability of each regime, shape (K, N)."""
        return np.asarray(self.state.T[WEIGHT])

    @property
    def surprise(self) -> FloatArray:
        """Sum of squared standardised errors from the third reading on, shape (N,)."""
        return np.asarray(self.sums[:, SURPRISE])

    @property
    def counted(self) -> FloatArray:
        """Sum of the weights of these errors, shape (N,)."""
        return np.asarray(self.sums[:, COUNTED])

    @property
    def loglik(self) -> FloatArray:
        """Log density of the readings after the first, shape (N,)."""
        return np.asarray(self.sums[:, LOGLIK])

    def columns(self, chosen: IntArray) -> Self:
        """Return the chosen series."""
        return type(self)(self.state[chosen], self.sums[chosen], self.axes)


@dataclass(frozen=True, slots=True)
class Foresight:
    """What each regime expected of a reading just before it was taken.

    Parameters
    ----------
    table : columns `WEIGHT` to `PRECISION`, shape (N, K, 6)
    axes : 1, or 2 for vectors
    """

    table: FloatArray
    axes: int

    @property
    def error(self) -> FloatArray:
        """Reading minus expectation [unit], shape (A, K, N)."""
        return np.asarray(self.table.T[ERROR : ERROR + self.axes])

    @property
    def variance(self) -> FloatArray:
        """Variance of the error [unit^2], shape (K, N)."""
        return np.asarray(self.table.T[VARIANCE])

    @property
    def weight(self) -> FloatArray:
        """Probability of each regime before the reading, shape (K, N)."""
        return np.asarray(self.table.T[WEIGHT])

    def columns(self, chosen: IntArray) -> Self:
        """Return the chosen series."""
        return type(self)(self.table[chosen], self.axes)


def axes_sum(values: FloatArray) -> FloatArray:
    """Return the sum over the axes of a vector, the first dimension."""
    if values.shape[0] == 1:
        return np.asarray(values[0])
    return np.asarray(np.sum(values, axis=0))


def axes_mean(values: FloatArray) -> FloatArray:
    """Return the mean over the axes of a vector, the first dimension."""
    return np.asarray(axes_sum(values) / values.shape[0])
