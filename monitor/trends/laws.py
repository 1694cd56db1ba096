"""Laws of movement in time: a warp of the clock that makes a path straight.

A warp g(t) counts years since the member was installed (or its load came on), so
that level = start + slope * g(t). Every warp is scaled to g(10 yr) = 10, which keeps
slopes of different laws comparable.

References
----------
.. [1] ISO 9224:2012, corrosion loss ~ t^b, b = 0.523 for carbon steel (from memory).
.. [2] Terzaghi, Peck and Mesri, Soil Mechanics in Engineering Practice, 1996:
       secondary settlement grows with the logarithm of time (from memory).
"""

import math
from types import MappingProxyType
from typing import Final

import numpy as np

from monitor.trends.codes import FloatArray, Law, LawSet
from monitor.trends.compiled import compiled, inlined

REFERENCE_YEARS: Final = 10.0
LOG_START_YEARS: Final = 1.0
CLOSURE_YEARS: Final = 10.0

_POWER_OF: Final = (1.0, 1.0, 0.7, 1.4, 0.523, 1.0)
"""By code of the law; used for slowing, accelerating and corrosion."""

_LINEAR: Final = int(Law.LINEAR)
_LOGARITHMIC: Final = int(Law.LOGARITHMIC)
_SATURATING: Final = int(Law.SATURATING)
_LOG_SCALE: Final = REFERENCE_YEARS / math.log1p(REFERENCE_YEARS / LOG_START_YEARS)
_CLOSURE_SCALE: Final = REFERENCE_YEARS / -math.expm1(-REFERENCE_YEARS / CLOSURE_YEARS)

PRIOR_LAW_WEIGHTS: Final = MappingProxyType(
    {
        LawSet.STEADY: {Law.LINEAR: 1.0},
        LawSet.GROUND: {
            Law.LINEAR: 0.5,
            Law.LOGARITHMIC: 0.15,
            Law.SLOWING: 0.15,
            Law.ACCELERATING: 0.2,
        },
        LawSet.WALL: {Law.LINEAR: 0.4, Law.CORROSION: 0.4, Law.SLOWING: 0.2},
        LawSet.WOUND: {Law.LINEAR: 0.5, Law.SATURATING: 0.5},
        LawSet.CABLE: {Law.LINEAR: 0.6, Law.LOGARITHMIC: 0.4},
    }
)

DANGEROUS_LAW: Final = MappingProxyType(
    {
        LawSet.STEADY: Law.LINEAR,
        LawSet.GROUND: Law.ACCELERATING,
        LawSet.WALL: Law.LINEAR,
        LawSet.WOUND: Law.LINEAR,
        LawSet.CABLE: Law.LINEAR,
    }
)
LEAST_DANGEROUS_WEIGHT: Final = 0.05
LEAST_WEIGHT: Final = 0.02


def warp(law: Law, t_years: FloatArray) -> FloatArray:
    """Return the warped time g(t). [yr]

    Parameters
    ----------
    t_years : time since installation or loading [yr]; earlier counts as zero,
        except for the linear law, which has no origin
    """
    t = np.asarray(t_years, dtype=np.float64)
    if law is Law.LINEAR:
        return t
    out = np.empty(t.size)
    _warp_all(int(law), t.ravel(), out)
    return out.reshape(t.shape)


@compiled
def _warp_all(law: int, t_years: FloatArray, out: FloatArray) -> None:
    for i in range(out.size):
        out[i] = warp_one(law, t_years[i])


@inlined
def warp_one(law: int, t_years: float) -> float:
    """Return the warped time g(t) of a law's code, see `warp`. [yr]"""
    if law == _LINEAR:
        return t_years
    t = max(t_years, 0.0)
    if law == _LOGARITHMIC:
        return _LOG_SCALE * math.log1p(t / LOG_START_YEARS)
    if law == _SATURATING:
        return -_CLOSURE_SCALE * math.expm1(-t / CLOSURE_YEARS)
    power = _POWER_OF[law]
    return float(REFERENCE_YEARS ** (1.0 - power) * t**power)


def warp_rate(law: Law, t_years: FloatArray) -> FloatArray:
    """Return dg/dt, years of warped time per year; times before a month count as one.

    Parameters
    ----------
    t_years : time since installation or loading [yr]
    """
    t = np.maximum(t_years, 1.0 / 12.0)
    if law is Law.LINEAR:
        return np.ones_like(t)
    if law is Law.LOGARITHMIC:
        return np.asarray(_LOG_SCALE / (t + LOG_START_YEARS))
    if law is Law.SATURATING:
        closing = np.exp(-t / CLOSURE_YEARS)
        return np.asarray(_CLOSURE_SCALE / CLOSURE_YEARS * closing)
    power = _POWER_OF[law]
    return np.asarray(REFERENCE_YEARS ** (1.0 - power) * power * t ** (power - 1.0))


def floored(
    weights: dict[Law, FloatArray], law_set: LawSet, least: float = LEAST_WEIGHT
) -> dict[Law, FloatArray]:
    """Return the weights with no law below `least`, the dangerous one not below 5 %.

    The dangerous law is the one that reaches a limit soonest; it is never dropped.
    """
    dangerous = DANGEROUS_LAW[law_set]
    lifted = {
        law: np.maximum(w, LEAST_DANGEROUS_WEIGHT if law is dangerous else least)
        for law, w in weights.items()
    }
    total = np.sum(list(lifted.values()), axis=0)
    return {law: w / total for law, w in lifted.items()}
