"""Do 90 % intervals hold 90 %? The grid over worlds and numbers of readings."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from scipy.stats import t as student

from monitor.trends.bench.worlds import REAL, WORLDS, Truth, mixed_lengths, simulate
from monitor.trends.codes import FloatArray, LawSet
from monitor.trends.fitting import fit
from monitor.trends.hyper import Hyper
from monitor.trends.outlook import outlooks

COUNTS: Final = (1, 2, 3, 5, 10, 20, 30)
TRAINING: Final = 1500
LONGEST: Final = 30
_BENT: Final = ("accelerating", "slowing")


@dataclass(frozen=True, slots=True)
class Cell:
    """How the analysis did for one world and number of readings.

    Parameters
    ----------
    next_held, rate_held : share of 90 % intervals that held
    early : share of all series that reached the limit before the 5 % date
    score, ols_score : interval score of the next reading, ours and least squares' [mm]
    """

    world: str
    readings: int
    next_held: float
    rate_held: float
    early: float
    score: float
    ols_score: float


def law_set_of(world: str) -> LawSet:
    """Return the laws the analysis may choose from in a world."""
    return LawSet.GROUND if world in _BENT else LawSet.STEADY


def trained(world: str, rng: np.random.Generator, many: int = TRAINING) -> Hyper:
    """Return numbers fitted on another fleet of the same world."""
    truth = simulate(WORLDS[world], many, LONGEST, rng)
    readings = truth.readings(mixed_lengths(truth, rng))
    return fit(readings, truth.series(law_set_of(world)))


def cell(
    world: str, readings: int, hyper: Hyper, rng: np.random.Generator, n: int
) -> Cell:
    """Return how the analysis does on `n` fresh series of a world."""
    truth = simulate(WORLDS.get(world, REAL), n, readings, rng)
    series = truth.series(law_set_of(world))
    given = truth.readings()
    today = outlooks(given, series, hyper)
    later = replace(series, now_years=truth.next_t, season_now=truth.next_season)
    ahead = outlooks(given, later, hyper).next_now
    return Cell(
        world=world,
        readings=readings,
        next_held=_held(truth.next_value, ahead),
        rate_held=_held(truth.rate, today.rate),
        early=float(np.mean(truth.crossing < today.act_years[0])),
        score=interval_score(truth.next_value, ahead[0], ahead[2]),
        ols_score=_ols_score(truth),
    )


def interval_score(value: FloatArray, low: FloatArray, high: FloatArray) -> float:
    """Return the mean interval score of 90 % intervals."""
    miss = np.maximum(low - value, 0.0) + np.maximum(value - high, 0.0)
    return float(np.mean(high - low + 20.0 * miss))


def _held(value: FloatArray, triple: FloatArray) -> float:
    return float(np.mean((value >= triple[0]) & (value <= triple[2])))


def _ols_score(truth: Truth) -> float:
    """Return the score of least squares; NaN below three readings."""
    n = truth.t.shape[1]
    if n < 3:
        return float("nan")
    t = truth.t - truth.t.mean(axis=1, keepdims=True)
    square = np.sum(t**2, axis=1)
    slope = np.sum(t * truth.value, axis=1) / square
    middle = truth.value.mean(axis=1)
    residual = truth.value - middle[:, None] - slope[:, None] * t
    sd = np.sqrt(np.sum(residual**2, axis=1) / (n - 2))
    ahead = truth.next_t - truth.t.mean(axis=1)
    half = student.ppf(0.95, n - 2) * sd * np.sqrt(1.0 + 1.0 / n + ahead**2 / square)
    centre = middle + slope * ahead
    return interval_score(truth.next_value, centre - half, centre + half)
