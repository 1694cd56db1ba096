"""Quantiles and chances of mixtures of normal distributions, for a whole block."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import ndtr, ndtri

from monitor.trends.codes import FloatArray

NEWTON_STEPS: Final = 3
PATIENCE: Final = 80
_NEAR: Final = 1e-8
_LEAST: Final = 1e-15
_MOST: Final = 1.0 - 1e-15
_TINY: Final = 1e-300


@dataclass(frozen=True, slots=True)
class Mixture:
    """K normal parts for each of N series; arrays of shape (K, N), weights sum to 1."""

    mean: FloatArray
    sd: FloatArray
    weight: FloatArray

    @property
    def centre(self) -> FloatArray:
        """Mean of the mixture."""
        return np.asarray(np.sum(self.weight * self.mean, axis=0))

    @property
    def variance(self) -> FloatArray:
        """Variance of the mixture."""
        spread = self.sd**2 + (self.mean - self.centre) ** 2
        return np.asarray(np.sum(self.weight * spread, axis=0))

    def chance_below(self, value: FloatArray) -> FloatArray:
        """Return the chance of a value below the given one."""
        return np.asarray(
            np.sum(self.weight * ndtr((value - self.mean) / self.sd), axis=0)
        )

    def quantile(self, chance: float) -> FloatArray:
        """Return the value that is not exceeded with the given chance.

        Newton's steps on the normal scale, where the curve of one heap is nearly
        straight. Where several heaps keep it from settling, the quantiles of the
        parts bracket the answer and a patient search finds it.
        """
        z = float(ndtri(chance))
        sd = np.sqrt(self.variance)
        value = self.centre + z * sd
        miss, slope = self._miss(value, z)
        for _ in range(NEWTON_STEPS):
            step = miss / np.maximum(slope, _TINY)
            value = value - np.clip(step, -sd, sd)
            miss, slope = self._miss(value, z)
        rest = np.flatnonzero(~(np.abs(miss) <= _NEAR))
        if rest.size:
            parts = self.mean[:, rest], self.sd[:, rest], self.weight[:, rest]
            value[rest] = Mixture(*parts)._patiently(z)
        return np.asarray(value)

    def _patiently(self, z: float) -> FloatArray:
        """Return the answer by Newton's steps, halving wherever they do not shrink."""
        low, high, value = self._bracket(z)
        last = high - low
        for _ in range(PATIENCE):
            miss, slope = self._miss(value, z)
            done = np.abs(miss) <= _NEAR
            if np.all(done):
                break
            low = np.where(miss < 0.0, value, low)
            high = np.where(miss < 0.0, high, value)
            step = miss / np.maximum(slope, _TINY)
            good = (value - step >= low) & (value - step <= high)
            good &= np.abs(step) <= 0.5 * last
            following = np.where(good, value - step, 0.5 * (low + high))
            # A settled answer stays, so it does not depend on its neighbours.
            following = np.where(done, value, following)
            last, value = np.abs(following - value), following
        return np.asarray(value)

    def _bracket(self, z: float) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return two neighbouring part quantiles about the answer, and the nearer."""
        ends = np.sort(self.mean + z * self.sd, axis=0)
        column = np.arange(ends.shape[1])
        low = np.zeros(ends.shape[1], dtype=np.int64)
        high = low + len(ends) - 1
        below, above = np.full(low.shape, -np.inf), np.full(low.shape, np.inf)
        for _ in range(int(np.ceil(np.log2(len(ends))))):
            middle = (low + high) // 2
            miss, _ = self._miss(ends[middle, column], z)
            under, moved = miss < 0.0, middle > low
            below = np.where(under, miss, below)
            above = np.where(under, above, miss)
            low = np.where(under, middle, low)
            high = np.where(under | ~moved, high, middle)
        start = np.where(-below < above, ends[low, column], ends[high, column])
        return ends[low, column], ends[high, column], start

    def _miss(self, value: FloatArray, z: float) -> tuple[FloatArray, FloatArray]:
        """Return normal score minus z, and the slope of the score."""
        u = (value - self.mean) / self.sd
        below = np.einsum("kn,kn->n", self.weight, ndtr(u))
        score = ndtri(np.clip(below, _LEAST, _MOST))
        u *= u
        u *= -0.5
        np.exp(u, out=u)
        u /= self.sd
        density = np.einsum("kn,kn->n", self.weight, u)
        return score - z, density * np.exp(0.5 * score * score)


def stacked(parts: list[Mixture], shares: list[FloatArray]) -> Mixture:
    """Return one mixture of several, each with its share of shape (N,)."""
    return Mixture(
        np.concatenate([part.mean for part in parts]),
        np.concatenate([part.sd for part in parts]),
        np.concatenate(
            [part.weight * share for part, share in zip(parts, shares, strict=True)]
        ),
    )
