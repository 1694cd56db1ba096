"""False alarms of still supports over a life, and the delay until movement is told."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from monitor.trends.bench.worlds import GAP_YEARS, SIGMA, Truth, World, simulate
from monitor.trends.codes import FloatArray
from monitor.trends.hyper import Hyper
from monitor.trends.outlook import Outlooks, outlooks

YEARS: Final = 20.0
VISITS: Final = int(YEARS / GAP_YEARS)
MOVING_E: Final = 20.0


@dataclass(frozen=True, slots=True)
class Alarms:
    """What still supports were told in 20 years, and how fast movers were found.

    Parameters
    ----------
    false_20, false_100 : share of still supports ever told E > 20, E > 100
    false_step : share of still supports ever told of a jump
    delays : median years until E > 20, by rate [mm/yr]
    """

    world: str
    false_20: float
    false_100: float
    false_step: float
    delays: dict[float, float]


def alarms(name: str, world: World, hyper: Hyper, rng: np.random.Generator) -> Alarms:
    """Return false alarms and delays in a world, looked at after every reading."""
    peak, step = np.zeros(_MANY), np.zeros(_MANY, dtype=bool)
    for _, _, seen in _looks(simulate(_still(world), _MANY, VISITS, rng), hyper):
        peak = np.maximum(peak, seen.evidence)
        step |= np.isfinite(seen.step_years) & ~seen.newest_unconfirmed
    delays = {rate: _delay(world, rate, 0.0, hyper, rng) for rate in RATES}
    return Alarms(
        name,
        float(np.mean(peak > MOVING_E)),
        float(np.mean(peak > 100.0)),
        float(np.mean(step)),
        delays,
    )


RATES: Final = (0.2, 0.5, 1.0)
"""Drifts that are timed. [mm/yr]"""


def late_delay(world: World, hyper: Hyper, rng: np.random.Generator) -> float:
    """Return the median delay for 1 mm/yr that begins after ten calm years. [yr]"""
    return _delay(world, 1.0, 10.0, hyper, rng)


def least_delay(
    world: World, rate: float, calm: float, rng: np.random.Generator
) -> float:
    """Return the median delay of one who knows all but whether it moves. [yr]

    Rate, onset and noise are known exactly, season and gross errors are away: the
    likelihood ratio of the truth against stillness passes 20. No e-value can on
    average be faster; ours has to find out the rest.
    """
    plain = replace(_still(world), outliers=0.0, season=0.0, season_spread=0.0)
    truth = simulate(replace(plain, noise_spread=0.0), _FEW, _visits(calm), rng)
    moved = rate * np.maximum(truth.t - calm, 0.0)
    walk = world.drift_noise**2 * np.minimum(truth.t[:, :, None], truth.t[:, None])
    noise = SIGMA**2 + world.rounding**2 / 12.0
    level = 1e4 * noise  # not known at first
    root = np.linalg.cholesky(walk + level + noise * np.eye(truth.t.shape[1]))
    error = np.linalg.solve(root, (truth.value + moved)[:, :, None])[:, :, 0]
    signal = np.linalg.solve(root, moved[:, :, None])[:, :, 0]
    told = np.cumsum(signal * error - 0.5 * signal**2, axis=1) > np.log(MOVING_E)
    first = truth.t[np.arange(_FEW), np.argmax(told, axis=1)] - calm
    return float(np.median(np.where(told.any(axis=1), first, np.inf)))


def steps_found(hyper: Hyper, size_sds: float, rng: np.random.Generator) -> FloatArray:
    """Return the share of jumps found within one, two and three readings."""
    truth = simulate(World(still=1.0, fast=0.0), _FEW, 14, rng)
    truth.value[:, 10:] += 0.5 * size_sds
    found = np.zeros((3, _FEW), dtype=bool)
    for after in range(3):
        seen = _at(truth, 11 + after, hyper)
        found[after:] |= np.isfinite(seen.step_years)
    return np.asarray(found.mean(axis=1))


_MANY: Final = 1500
_FEW: Final = 800


def _still(world: World) -> World:
    return replace(world, still=1.0, fast=0.0, pace=0.0)


def _visits(calm: float) -> int:
    return int((calm + 14.0) / GAP_YEARS)


def _looks(truth: Truth, hyper: Hyper) -> list[tuple[int, FloatArray, Outlooks]]:
    last = truth.t.shape[1]
    return [(n, truth.t[:, n - 1], _at(truth, n, hyper)) for n in range(2, last + 1)]


def _at(truth: Truth, n: int, hyper: Hyper) -> Outlooks:
    """Return the outlooks when only the first `n` readings are known."""
    part = replace(truth, t=truth.t[:, :n], value=truth.value[:, :n])
    return outlooks(part.readings(), part.series(), hyper)


def _delay(
    world: World, rate: float, calm: float, hyper: Hyper, rng: np.random.Generator
) -> float:
    truth = simulate(_still(world), _FEW, _visits(calm), rng)
    moved = truth.value + rate * np.maximum(truth.t - calm, 0.0)
    truth = replace(truth, value=moved)
    told = np.full(_FEW, np.inf)
    for _, now, seen in _looks(truth, hyper):
        first = (seen.evidence > MOVING_E) & np.isinf(told) & (now > calm)
        told = np.where(first, now - calm, told)
        if np.mean(np.isfinite(told)) > 0.6:
            break
    return float(np.median(told))
