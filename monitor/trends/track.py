"""The running state of the filter and what it expects of the next reading."""

from dataclasses import dataclass

import numpy as np

from monitor.trends.codes import FloatArray


@dataclass(slots=True)
class Track:
    """The running state: K regimes, A axes, N series.

    Parameters
    ----------
    x, b : level [unit] and slope [unit/yr] of each regime, shape (A, K, N)
    pxx, pxb, pbb : their covariance, shape (K, N)
    weight : probability of each regime, shape (K, N)
    surprise, counted : sum of squared standardised errors and of their weights from
        the third reading on, shape (N,)
    loglik : log density of the readings after the first, shape (N,)
    """

    x: FloatArray
    b: FloatArray
    pxx: FloatArray
    pxb: FloatArray
    pbb: FloatArray
    weight: FloatArray
    surprise: FloatArray
    counted: FloatArray
    loglik: FloatArray


@dataclass(frozen=True, slots=True)
class Foresight:
    """What each regime expected of a reading just before it was taken.

    Parameters
    ----------
    error : reading minus expectation [unit], shape (A, K, N)
    variance : of the error [unit^2], shape (K, N)
    weight : probability of each regime before the reading, shape (K, N)
    """

    error: FloatArray
    variance: FloatArray
    weight: FloatArray


def axes_sum(values: FloatArray) -> FloatArray:
    """Return the sum over the axes of a vector, the first dimension."""
    if values.shape[0] == 1:
        return np.asarray(values[0])
    return np.asarray(np.sum(values, axis=0))


def axes_mean(values: FloatArray) -> FloatArray:
    """Return the mean over the axes of a vector, the first dimension."""
    return np.asarray(axes_sum(values) / values.shape[0])
