"""Plain first passage: when a wandering level with a steady drift reaches a limit.

A Wiener process with drift m and diffusion k first reaches a limit w away at a time
that is inverse Gaussian, with mean w / m and shape w^2 / k^2. Closed forms; the engine
and its tests are held against them.

References
----------
.. [1] Chhikara and Folks, The Inverse Gaussian Distribution, 1989 (from memory).
.. [2] Whitmore, Scand. J. Statist. 13 (1986) 211: normal drift (from memory).
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import log_ndtr, ndtr

from monitor.trends.codes import FloatArray

_STEPS: Final = 200


@dataclass(frozen=True, slots=True)
class Passage:
    """The first time a level reaches a limit.

    Parameters
    ----------
    gap : from the level now to the limit [unit]
    drift : towards the limit; the mean, if it is uncertain [unit/yr]
    diffusion : sd of what the level wanders in a year [unit/sqrt(yr)]
    drift_sd : how uncertain the drift is [unit/yr]
    """

    gap: float
    drift: float
    diffusion: float
    drift_sd: float = 0.0

    @property
    def mean_years(self) -> float:
        """Mean time of a known drift. [yr]"""
        return self.gap / self.drift

    @property
    def shape_years(self) -> float:
        """Shape of the inverse Gaussian; variance = mean^3 / shape. [yr]"""
        return (self.gap / self.diffusion) ** 2

    def chance_by(self, years: ArrayLike) -> FloatArray:
        """Return the chance that the limit has been reached after so many years.

        With an uncertain drift it may never be: the chance then ends below 1.
        """
        t = np.asarray(years, dtype=np.float64)
        k2, s2, w = self.diffusion**2, self.drift_sd**2, self.gap
        sd = np.sqrt(np.where(t > 0.0, k2 * t + s2 * t * t, np.nan))
        beyond = ndtr((self.drift * t - w) / sd)
        # The mirror image: paths that came back. Its two factors overflow apart.
        size = 2.0 * w * (self.drift * k2 + s2 * w) / k2**2
        back = -(self.drift * t + w + 2.0 * s2 * w * t / k2) / sd
        chance = beyond + np.exp(size + log_ndtr(back))
        return np.asarray(np.where(t > 0.0, np.minimum(chance, 1.0), 0.0))

    def quantile(self, chance: ArrayLike) -> FloatArray:
        """Return the time by which the limit is reached with this chance. [yr]

        Infinite where the chance is never reached.
        """
        wanted = np.asarray(chance, dtype=np.float64)
        low, high = np.full(wanted.shape, 1e-9), np.full(wanted.shape, 1e9)
        never = self.chance_by(high) < wanted
        for _ in range(_STEPS):
            middle = np.sqrt(low * high)
            is_early = self.chance_by(middle) < wanted
            low = np.where(is_early, middle, low)
            high = np.where(is_early, high, middle)
        return np.asarray(np.where(never, np.inf, high))
