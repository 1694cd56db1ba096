"""Quantiles and chances of mixtures of normal distributions, for a whole block."""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import ndtr, ndtri

from monitor.trends.codes import FloatArray
from monitor.trends.compiled import (
    compiled,
    inlined,
    normal_below_and_bell,
    normal_quantile,
)

NEWTON_STEPS: Final = 5
PATIENCE: Final = 80
_NEAR: Final = 1e-6
_LEAST: Final = 1e-15
_MOST: Final = 1.0 - 1e-15
_TINY: Final = 1e-300


@dataclass(frozen=True, slots=True)
class Mixture:
    """K normal parts for each of N series; arrays of shape (K, N), weights sum to 1."""

    mean: FloatArray
    sd: FloatArray
    weight: FloatArray

    def chance_below(self, value: FloatArray) -> FloatArray:
        """Return the chance of a value below the given one."""
        return np.asarray(
            np.sum(self.weight * ndtr((value - self.mean) / self.sd), axis=0)
        )

    def quantile(self, chance: float) -> FloatArray:
        """Return the value that is not exceeded with the given chance."""
        value = np.empty(self.mean.shape[1])
        parts = np.stack((self.mean, self.sd, self.weight)).T
        _quantiles(np.ascontiguousarray(parts), float(ndtri(chance)), value)
        return value


@compiled
def _quantiles(parts: FloatArray, z: float, value: FloatArray) -> None:
    """Write the quantile of each series; `parts` (N, K, 3) are mean, sd and weight."""
    for i in range(value.size):
        own = parts[i]
        value[i] = _quickly(own, z)
        if math.isnan(value[i]):
            value[i] = _patiently(own, z)


@inlined
def _quickly(own: FloatArray, z: float) -> float:
    """Return the quantile by Newton's steps, NaN where they do not settle.

    On the normal scale the curve of one heap is nearly straight.
    """
    centre, variance = 0.0, 0.0
    for k in range(len(own)):
        centre += own[k, 2] * own[k, 0]
    for k in range(len(own)):
        variance += own[k, 2] * (own[k, 1] ** 2 + (own[k, 0] - centre) ** 2)
    sd = math.sqrt(variance)
    value = centre + z * sd
    for _ in range(NEWTON_STEPS):
        miss, slope = _miss(own, value, z)
        value -= min(max(miss / max(slope, _TINY), -sd), sd)
        if abs(miss) <= _NEAR:  # the step just made squares the miss
            return value
    return math.nan


@inlined
def _patiently(own: FloatArray, z: float) -> float:
    """Return the quantile by Newton's steps, halving wherever they do not shrink.

    The quantiles of the parts bracket the answer.
    """
    low, high = math.inf, -math.inf
    for k in range(len(own)):
        low = min(low, own[k, 0] + z * own[k, 1])
        high = max(high, own[k, 0] + z * own[k, 1])
    value, last = 0.5 * (low + high), high - low
    for _ in range(PATIENCE):
        miss, slope = _miss(own, value, z)
        after = value - miss / max(slope, _TINY)
        if abs(miss) <= _NEAR:
            return after
        low, high = (value, high) if miss < 0.0 else (low, value)
        if not (low <= after <= high) or abs(after - value) > 0.5 * last:
            after = 0.5 * (low + high)
        last, value = abs(after - value), after
    return value


@inlined
def _miss(own: FloatArray, value: float, z: float) -> tuple[float, float]:
    """Return normal score minus z, and the slope of the score."""
    below, density = 0.0, 0.0
    for k in range(len(own)):
        u = (value - own[k, 0]) / own[k, 1]
        chance, bell = normal_below_and_bell(u)
        below += own[k, 2] * chance
        density += own[k, 2] * bell / own[k, 1]
    score = normal_quantile(min(max(below, _LEAST), _MOST))
    return score - z, density * math.exp(0.5 * score * score)


def stacked(parts: list[Mixture], shares: list[FloatArray]) -> Mixture:
    """Return one mixture of several, each with its share of shape (N,)."""
    return Mixture(
        np.concatenate([part.mean for part in parts]),
        np.concatenate([part.sd for part in parts]),
        np.concatenate(
            [part.weight * share for part, share in zip(parts, shares, strict=True)]
        ),
    )
