"""What the rule for the next look costs and saves over forty years."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from monitor.trends.bench.worlds import LIMIT, SIGMA, World, simulate
from monitor.trends.codes import BoolArray, FloatArray, LookRule
from monitor.trends.hyper import Hyper
from monitor.trends.outlook import outlooks
from monitor.trends.readings import Readings, Series

YEARS: Final = 40.0
FINE_YEARS: Final = 0.125
MOST_VISITS: Final = 60


@dataclass(frozen=True, slots=True)
class Policy:
    """Outcome of the rule in one world.

    Parameters
    ----------
    visits : mean visits in 40 years where nobody had to act, repeats included
    busy_visits : mean visits until action where somebody had to
    crossed : share of supports that would reach the limit within 40 years
    missed : share of those that reached it before anyone acted
    """

    name: str
    visits: float
    busy_visits: float
    crossed: float
    missed: float


def policy(
    name: str, world: World, hyper: Hyper, rng: np.random.Generator, n: int
) -> Policy:
    """Return the outcome of following the rule with `n` supports."""
    grid = np.arange(0.0, YEARS + 1e-9, FINE_YEARS)
    path = _paths(world, n, grid, rng)
    beyond = path >= LIMIT
    crossing = np.where(beyond.any(axis=1), grid[np.argmax(beyond, axis=1)], np.inf)
    acted, visits = _follow(world, (grid, path), hyper, rng)
    crossers = crossing <= YEARS
    missed = crossers & (acted > crossing)
    calm = np.isinf(acted)
    return Policy(
        name,
        float(np.mean(visits[calm])),
        float(np.mean(visits[~calm])),
        float(np.mean(crossers)),
        float(np.sum(missed)) / max(int(np.sum(crossers)), 1),
    )


def _paths(
    world: World, n: int, grid: FloatArray, rng: np.random.Generator
) -> FloatArray:
    """Return true levels on a fine grid. [mm]"""
    bare = replace(world, outliers=0.0, season=0.0, season_spread=0.0, rounding=0.0)
    bare = replace(bare, noise_spread=0.0, drift_noise=0.0)
    truth = simulate(replace(bare, onset_years=0.0), n, 2, rng)
    onset = np.where(rng.random(n) < 0.5, rng.random(n) * world.onset_years, 0.0)
    path = truth.rate[:, None] * np.maximum(grid - onset[:, None], 0.0)
    steps = rng.normal(size=path.shape) * world.drift_noise * np.sqrt(FINE_YEARS)
    steps[:, 0] = 0.0
    return np.asarray(path + np.cumsum(steps, axis=1))


def _follow(
    world: World,
    truth: tuple[FloatArray, FloatArray],
    hyper: Hyper,
    rng: np.random.Generator,
) -> tuple[FloatArray, FloatArray]:
    """Return when each support was acted on (infinite: never) and visits paid."""
    grid, path = truth
    n = len(path)
    times, values = np.full((n, MOST_VISITS), np.nan), np.full((n, MOST_VISITS), np.nan)
    now, acted, visits = np.zeros(n), np.full(n, np.inf), np.zeros(n)
    for visit in range(MOST_VISITS):
        going = (now <= YEARS) & np.isinf(acted)
        if not np.any(going):
            break
        cell = np.minimum((now / FINE_YEARS).round().astype(int), grid.size - 1)
        seen = path[np.arange(n), cell] + _noise(world, now, rng)
        times[going, visit], values[going, visit] = now[going], seen[going]
        visits += going
        wait, act = _ask(hyper, times, values, going)
        acted[going] = np.where(act, now[going], np.inf)
        now[going] += np.maximum(wait, FINE_YEARS)
    return acted, visits


def _noise(world: World, now: FloatArray, rng: np.random.Generator) -> FloatArray:
    gross = rng.random(now.size) < world.outliers
    size = rng.uniform(5.0, 20.0, now.size) * rng.choice([-1.0, 1.0], now.size)
    return np.asarray(SIGMA * np.where(gross, size, rng.normal(size=now.size)))


def _ask(
    hyper: Hyper, times: FloatArray, values: FloatArray, going: BoolArray
) -> tuple[FloatArray, BoolArray]:
    """Return years to the next look and whether to act now."""
    rows = np.flatnonzero(going)
    known = ~np.isnan(times[rows])
    index = np.repeat(np.arange(rows.size), known.sum(axis=1))
    t, value = times[rows][known], values[rows][known]
    readings = Readings.simple(index, t, value, np.array(SIGMA))
    now = np.nanmax(times[rows], axis=1)
    series = Series.simple(np.full(rows.size, LIMIT), now)
    series = replace(series, scale=np.full(rows.size, LIMIT))
    seen = outlooks(readings, series, hyper)
    act = (seen.look_rule == LookRule.ACT_NOW) & ~seen.newest_unconfirmed
    wait = np.where(np.isnan(seen.look_years), 1.0, seen.look_years)
    return wait, act
