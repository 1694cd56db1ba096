"""Loops over series as machine code, and the normal distribution inside them.

numba compiles a function at its first call and keeps the result on disk: beside the
module where that can be written, else in the user's cache folder, or where the
variable NUMBA_CACHE_DIR points. What it kept is renewed when the function changes,
or anything it calls, or a constant of either.

References
----------
.. [0] Hart et al., Computer Approximations, 1968, no. 5666: the normal distribution,
       to 2e-16 (from memory).
.. [1] Wichura, Appl. Statist. 37 (1988) 477: algorithm AS 241, normal quantiles.
.. [2] Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, 26.2.12:
       the far tail of the normal distribution.
"""

import hashlib
import math
from collections.abc import Callable
from functools import partial
from typing import Any, Final, ParamSpec, TypeVar, cast

import numba

_P = ParamSpec("_P")
_R = TypeVar("_R")

_MAY_ROUND_ONCE: Final = {"contract"}
"""A product and a sum may be one machine instruction; NaN stays NaN."""

_ROOT_HALF: Final = math.sqrt(0.5)
_LOG_ROOT_2PI: Final = 0.5 * math.log(2.0 * math.pi)
CERTAIN: Final = 8.8
"""So many sds off, a chance is 0 or 1 to 1e-18."""

_FAR: Final = -20.0

_CUMULATIVE: Final = (
    (0.0, 8.83883476483184e-2),
    (3.52624965998911e-2, 1.75566716318264),
    (0.700383064443688, 16.064177579207),
    (6.37396220353165, 86.7807322029461),
    (33.912866078383, 296.564248779674),
    (112.079291497871, 637.333633378831),
    (221.213596169931, 793.826512519948),
    (220.206867912376, 440.413735824752),
)
_MIDDLE: Final = (
    (2509.0809287301226727, 5226.495278852854561),
    (33430.575583588128105, 28729.085735721942674),
    (67265.770927008700853, 39307.89580009271061),
    (45921.953931549871457, 21213.794301586595867),
    (13731.693765509461125, 5394.1960214247511077),
    (1971.5909503065514427, 687.1870074920579083),
    (133.14166789178437745, 42.313330701600911252),
    (3.387132872796366608, 1.0),
)
_SIDE: Final = (
    (7.7454501427834140764e-4, 1.05075007164441684324e-9),
    (0.0227238449892691845833, 5.475938084995344946e-4),
    (0.24178072517745061177, 0.0151986665636164571966),
    (1.27045825245236838258, 0.14810397642748007459),
    (3.64784832476320460504, 0.68976733498510000455),
    (5.7694972214606914055, 1.6763848301838038494),
    (4.6303378461565452959, 2.05319162663775882187),
    (1.42343711074968357734, 1.0),
)
_TAIL: Final = (
    (2.01033439929228813265e-7, 2.04426310338993978564e-15),
    (2.71155556874348757815e-5, 1.4215117583164458887e-7),
    (0.0012426609473880784386, 1.8463183175100546818e-5),
    (0.026532189526576123093, 7.868691311456132591e-4),
    (0.29656057182850489123, 0.0148753612908506148525),
    (1.7848265399172913358, 0.13692988092273580531),
    (5.4637849111641143699, 0.59983220655588793769),
    (6.6579046435011037772, 1.0),
)


def compiled(function: Callable[_P, _R]) -> Callable[_P, _R]:
    """Return a loop over series as machine code that lets other threads run."""
    loop = partial(
        numba.njit, nogil=True, error_model="numpy", fastmath=_MAY_ROUND_ONCE
    )
    try:
        made: Any = loop(function, cache=True)  # its cache is not typed
    except RuntimeError:  # nowhere to keep it: compile in every process
        return cast(Callable[_P, _R], loop(function))
    # numba alone would look at the function's own file only.
    made._cache._cache_file._source_stamp = _stamp(function)
    return cast(Callable[_P, _R], made)


def _stamp(function: Callable[..., object]) -> str:
    """Return a digest of all that the machine code of a function depends on."""
    code = function.__code__
    parts = [code.co_code.hex(), repr(code.co_consts)]
    for name in code.co_names:
        value = function.__globals__.get(name)
        called = getattr(value, "py_func", None)
        if called is not None:
            parts.append(_stamp(called))
        elif isinstance(value, int | float | tuple):
            parts.append(repr(value))
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def inlined(function: Callable[_P, _R]) -> Callable[_P, _R]:
    """Return a function to be woven into the compiled loops that call it."""
    made = numba.njit(
        function, forceinline=True, error_model="numpy", fastmath=_MAY_ROUND_ONCE
    )
    return cast(Callable[_P, _R], made)


@inlined
def normal_below(z: float) -> float:
    """Return the chance of a standard normal value below z."""
    return normal_below_and_bell(z)[0]


@inlined
def normal_below_and_bell(z: float) -> tuple[float, float]:
    """Return the chance of a standard normal value below z, and exp(-z^2 / 2)."""
    size = abs(z)
    if size > CERTAIN:
        return (0.0, 0.0) if z < 0.0 else (1.0, 0.0)
    bell = math.exp(-0.5 * size * size)
    tail = bell * _ratio(_CUMULATIVE, size)
    return (1.0 - tail if z > 0.0 else tail), bell


@inlined
def log_normal_below(z: float) -> float:
    """Return the log of the chance of a standard normal value below z."""
    if z > _FAR:
        return math.log(0.5 * math.erfc(-_ROOT_HALF * z))
    part, whole = 1.0, 1.0
    for odd in range(1, 16, 2):
        part *= -odd / (z * z)
        whole += part
    return -0.5 * z * z - _LOG_ROOT_2PI - math.log(-z) + math.log(whole)


@inlined
def normal_quantile(chance: float) -> float:
    """Return the value below which a standard normal value lies with this chance."""
    q = chance - 0.5
    if abs(q) <= 0.425:
        return q * _ratio(_MIDDLE, 0.180625 - q * q)
    r = math.sqrt(-math.log(min(chance, 1.0 - chance)))
    size = _ratio(_SIDE, r - 1.6) if r <= 5.0 else _ratio(_TAIL, r - 5.0)
    return math.copysign(size, q)


@inlined
def _ratio(terms: tuple[tuple[float, float], ...], r: float) -> float:
    above, below = 0.0, 0.0
    for term in terms:
        above = above * r + term[0]
        below = below * r + term[1]
    return above / below
