"""How much of its strength a member uses, through the years, and how sure that is.

The use of strength of a member is taken as lognormal on either side of its middle. The
spread of each side comes from the answer worked out again with the loss of metal,
the load and the lean each at its own 5 % or 95 % bound; the three changes of the
logarithm are added as independent (first-order second-moment method, taken at the
bounds because buckling is far from straight; derived). No simulation, so a whole fleet
takes seconds. A falling margin may bring a look forward and never puts one off.

References
----------
.. [1] Ang and Tang, Probability Concepts in Engineering, chapter 4 (first-order
   approximation of moments).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from monitor.errors import InsufficientData
from monitor.mechanics.corrosion import multiplier
from monitor.mechanics.guard import Array, Floats, not_negative
from monitor.mechanics.limb_statics import growth_factor
from monitor.mechanics.screening import Z90, Screening
from monitor.mechanics.wall import WallState

HORIZON_YEARS = np.arange(0.0, 41.0, 5.0)
MOST_USE = 99.0  # stands for "can not stand"


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """How a fleet ages: one row a member, one column a year from today.

    Parameters
    ----------
    years : from today, rising [y]
    loss_mm, loss_sd_mm : mean metal lost from one face since new [mm]
    load_n : service load [N]; NaN where not known
    load_log_sd : standard deviation of the logarithm of the load, one per member
    tilt_mm_m, tilt_sd_mm_m : size of the lean [mm/m]; zeros where it plays no part
    """

    years: Array
    loss_mm: Array
    loss_sd_mm: Array
    load_n: Array
    load_log_sd: Array
    tilt_mm_m: Array
    tilt_sd_mm_m: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Margin(Screening):
    """Use of strength by member (row) and year (column); 1 is all there is.

    Parameters
    ----------
    use, low, high : middle, 5 % and 95 %; NaN where refused
    over_one : probability that the use is above 1
    governs : index into `parts` of the part with the largest use; -1 where refused
    refused : bit i set means `refusals[i]` holds for the member; 0 is none
    """

    years: Array
    use: Array
    low: Array
    high: Array
    over_one: Array
    governs: NDArray[np.int64]
    parts: tuple[str, ...]
    refused: NDArray[np.int64]
    refusals: tuple[str, ...]


def reasons(margin: Margin, row: int) -> tuple[str, ...]:
    """Return why a member got no margin, in sentences; empty when it got one."""
    bits = int(margin.refused[row])
    return tuple(text for i, text in enumerate(margin.refusals) if bits >> i & 1)


def require(margin: Margin, row: int) -> None:
    """Raise when a member got no margin, naming what is missing and what is needed."""
    found = reasons(margin, row)
    if found:
        raise InsufficientData(" ".join(found))


def governing_part(margin: Margin, row: int, column: int) -> str:
    """Return the name of the part that uses most of its strength."""
    require(margin, row)
    return margin.parts[int(margin.governs[row, column])]


def first_year_over(margin: Margin, level: float = 0.05) -> Array:
    """Return the first year from today at which P(use > 1) reaches a level.

    Straight lines between the columns; infinite when never within the horizon, NaN
    where refused.
    """
    p, years = margin.over_one, margin.years
    reached = p >= level
    column = reached.argmax(axis=1)
    rows = np.arange(p.shape[0])
    before = np.maximum(column - 1, 0)
    rise = np.maximum(p[rows, column] - p[rows, before], 1e-300)
    share = np.clip((level - p[rows, before]) / rise, 0.0, 1.0)
    found = years[before] + share * (years[column] - years[before])
    found = np.where(reached.any(axis=1), found, np.inf)
    return np.where(margin.refused == 0, found, np.nan)


def loss_course(
    state: WallState, bare_years: Floats, new_mm: Floats, years: Array
) -> tuple[Array, Array]:
    """Return the metal lost and its spread over the years, from the wall as believed.

    Parameters
    ----------
    bare_years : since the steel lies bare, today; below zero while zinc lasts [y]
    new_mm : wall the sections are worked out from [mm]
    years : from today [y]
    """
    age = np.maximum(_column(bare_years) + years, 0.0)
    g = np.asarray(multiplier(age, _column(state.exponent))) / 1000.0
    wall = _column(state.wall_mm) - g * _column(state.rate_um)
    spread = (
        _column(state.wall_var_mm2)
        + g**2 * _column(state.rate_var_um2)
        - 2.0 * g * _column(state.cov_mm_um)
    )
    loss, loss_sd = np.broadcast_arrays(
        _column(new_mm) - wall, np.sqrt(np.maximum(spread, 0.0))
    )
    return loss, loss_sd


def load_course(
    load_n: Floats, diameter_mm: Floats, gain_mm_year: Floats, years: Array
) -> Array:
    """Return the load over the years as the limb thickens, at fixed length. [N]

    Parameters
    ----------
    gain_mm_year : measured growth of the diameter [mm/y]
    """
    growth = growth_factor(_column(diameter_mm), _column(gain_mm_year), years)
    return np.asarray(_column(load_n) * growth, dtype=np.float64)


def tilt_course(
    tilt_mm_m: tuple[Floats, Floats], pace_mm_m: tuple[Floats, Floats], years: Array
) -> tuple[Array, Array]:
    """Return the lean over the years and its spread, each given with its spread.

    Parameters
    ----------
    tilt_mm_m : lean today and its spread [mm/m]
    pace_mm_m : yearly change in the direction of the lean and its spread [mm/m]
    """
    pace, pace_sd = (_column(value) for value in pace_mm_m)
    tilt, tilt_sd = (_column(not_negative("tilt", v, "mm/m")) for v in tilt_mm_m)
    course, spread = np.broadcast_arrays(
        np.maximum(tilt + pace * years, 0.0), np.hypot(tilt_sd, pace_sd * years)
    )
    return course, spread


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Verdicts(Screening):
    """What a kind of member adds to its numbers: names of parts, and who is refused."""

    parts: tuple[str, ...]
    refused: NDArray[np.int64]
    refusals: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Ends:
    """Largest use by cause, member and year, with one cause at its bound.

    Parameters
    ----------
    worse, better : stacked along the first axis, one slice a cause
    """

    worse: Array
    better: Array


def margin_of(years: Array, each: Array, ends: Ends, verdicts: Verdicts) -> Margin:
    """Return the margin from uses by part and from the answers at the bounds.

    Parameters
    ----------
    each : use by part, member and year; NaN for a part a member has not
    """
    kept = verdicts.refused[:, np.newaxis] == 0
    middle = largest(each)
    base = np.log(middle)
    up, down = _reach(base, ends.worse), _reach(base, ends.better)
    side = np.where(base < 0.0, up, down) / Z90
    return Margin(
        method=verdicts.method,
        assumed=verdicts.assumed,
        missing=verdicts.missing,
        years=years,
        use=np.where(kept, middle, np.nan),
        low=np.where(kept, middle * np.exp(-down), np.nan),
        high=np.where(kept, np.minimum(middle * np.exp(up), MOST_USE), np.nan),
        over_one=np.where(kept, ndtr(base / side), np.nan),
        governs=np.where(kept, np.nanargmax(each, axis=0), -1),
        parts=verdicts.parts,
        refused=verdicts.refused,
        refusals=verdicts.refusals,
    )


def _reach(base: Array, answers: Array) -> Array:
    """Return how far one side reaches in the logarithm, independent causes added."""
    squares: Array = ((np.log(answers) - base) ** 2).sum(axis=0)
    return np.maximum(np.sqrt(squares), 1e-9)


def largest(each: Array) -> Array:
    """Return the largest use of all parts a member has."""
    return np.asarray(np.fmax.reduce(each, axis=0), dtype=np.float64)


def flags(tests: Sequence[NDArray[np.bool_]]) -> NDArray[np.int64]:
    """Return the bits of the tests that fail, one number a member."""
    found = np.zeros(tests[0].shape, dtype=np.int64)
    for bit, failed in enumerate(tests):
        found |= failed.astype(np.int64) << bit
    return found


def outside(values: Array, low: float, high: float) -> NDArray[np.bool_]:
    """Return where a value is missing or beyond its range, for any year of a member."""
    bad = ~((values >= low) & (values <= high))
    return np.asarray(bad.reshape(bad.shape[0], -1).any(axis=1), dtype=np.bool_)


def _column(values: Floats) -> Array:
    """Return one value a member as a column, a single value as it is."""
    found = np.asarray(values, dtype=np.float64)
    return found[:, np.newaxis] if found.ndim == 1 else found
