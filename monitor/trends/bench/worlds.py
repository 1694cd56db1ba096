"""Invented worlds in which the truth is known.

No open data set of readings of tree supports is known, so every figure that comes
from here says how the analysis does in these worlds and no more.
"""

from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

import numpy as np

from monitor.trends.codes import BoolArray, FloatArray, IntArray, LawSet
from monitor.trends.readings import Readings, Series

SIGMA: Final = 0.5
LIMIT: Final = 15.0
GAP_YEARS: Final = 0.75
HORIZON_YEARS: Final = 60.0
_FINE_YEARS: Final = 0.25


@dataclass(frozen=True, slots=True)
class World:
    """How supports move and how they are read.

    Parameters
    ----------
    still, fast : shares of still and of fast supports; the rest move slowly
    outliers : share of gross errors, 5 to 20 times the noise
    season : mean seasonal amplitude of the fleet [mm]
    season_spread : sd of the individual amplitude [mm]
    drift_noise : random walk of the level [mm/sqrt(yr)]
    noise_spread : sd of the log of a support's own noise
    rounding : smallest step of the scale [mm]
    power : exponent of the law of movement
    onset_years : half of the supports begin at a random time up to this, 0: at once
    heave : sd of a movement all supports of a site share at a visit [mm]
    pace : rates are multiplied by this
    twin : all movers have one of two rates, a world of two heaps
    """

    still: float = 0.65
    fast: float = 0.08
    outliers: float = 0.0
    season: float = 0.0
    season_spread: float = 0.0
    drift_noise: float = 0.0
    noise_spread: float = 0.0
    rounding: float = 0.0
    power: float = 1.0
    onset_years: float = 0.0
    heave: float = 0.0
    pace: float = 1.0
    twin: bool = False


IDEAL: Final = World()
REAL: Final = World(
    outliers=0.03,
    season=0.30,
    season_spread=0.18,
    drift_noise=0.15,
    noise_spread=0.25,
    rounding=0.1,
)
WORLDS: Final = MappingProxyType(
    {
        "ideal": IDEAL,
        "outlier": World(outliers=0.03),
        "season": World(season=0.30, season_spread=0.18),
        "process": World(drift_noise=0.15),
        "real": REAL,
        "late onset": replace(REAL, onset_years=25.0),
        "accelerating": replace(REAL, power=1.4),
        "slowing": replace(REAL, power=0.7),
        "all still": replace(REAL, still=1.0, fast=0.0),
        "two heaps": replace(REAL, twin=True),
        "site heave": replace(REAL, heave=0.5),
    }
)


@dataclass(frozen=True, slots=True)
class Truth:
    """A simulated fleet: N supports read n times, and what came after.

    Parameters
    ----------
    t, value : times [yr] and readings [mm], shape (N, n)
    next_t, next_value : the reading that followed, without gross error
    rate : true rate at the last reading [mm/yr]
    crossing : true time of reaching the limit after the last reading [yr], inf never
    """

    t: FloatArray
    value: FloatArray
    next_t: FloatArray
    next_value: FloatArray
    next_season: FloatArray
    rate: FloatArray
    crossing: FloatArray

    def readings(self, chosen: BoolArray | None = None) -> Readings:
        """Return the readings as the analysis takes them.

        Parameters
        ----------
        chosen : which cells were read, shape (N, n); None: all
        """
        n, many = self.t.shape
        index = np.repeat(np.arange(n), many)
        mask = np.ones(index.size, dtype=bool) if chosen is None else chosen.ravel()
        t, value = self.t.ravel()[mask], self.value.ravel()[mask]
        plain = Readings.simple(index[mask], t, value, np.array(SIGMA))
        return replace(plain, season=t % 1.0)

    def series(self, law_set: LawSet = LawSet.STEADY) -> Series:
        """Return the series, asked about at the moment of the last reading."""
        n = len(self.t)
        plain = Series.simple(np.full(n, LIMIT), self.t[:, -1])
        return replace(
            plain,
            law_set=np.full(n, law_set, dtype=np.int64),
            season_now=self.t[:, -1] % 1.0,
            scale=np.full(n, LIMIT),
        )


def simulate(world: World, n: int, many: int, rng: np.random.Generator) -> Truth:
    """Return `n` supports of a world, each read `many` times."""
    t = _visits(n, many + 1, rng)
    rate, onset = _rates(world, n, rng), _onsets(world, n, rng)
    ahead = np.arange(_FINE_YEARS, HORIZON_YEARS, _FINE_YEARS)
    times = np.concatenate((t, t[:, -2:-1] + ahead), axis=1)
    order = np.argsort(times, axis=1, kind="stable")
    path = _level(world, times, (rate, onset))
    path += _walk(world, np.take_along_axis(times, order, 1), order, rng)
    value = path[:, : many + 1] - path[:, :1] + _season(world, t, rng)
    value += _shared_heave(world, t, rng)
    value += rng.normal(size=t.shape) * SIGMA * _own_noise(world, n, rng)
    gross = rng.random(t.shape) < world.outliers
    gross[:, -1] = False
    size = rng.uniform(5.0, 20.0, t.shape) * rng.choice([-1.0, 1.0], t.shape)
    value = value + np.where(gross, SIGMA * size, 0.0)
    if world.rounding:
        value = np.round(value / world.rounding) * world.rounding
    last = t[:, -2]
    slope = _level(world, np.stack((last, last + 0.01), 1), (rate, onset))
    return Truth(
        t=t[:, :-1],
        value=value[:, :-1],
        next_t=t[:, -1],
        next_value=value[:, -1],
        next_season=t[:, -1] % 1.0,
        rate=np.diff(slope, axis=1)[:, 0] / 0.01,
        crossing=_crossing(path[:, many + 1 :] - path[:, :1], ahead),
    )


def mixed_lengths(truth: Truth, rng: np.random.Generator) -> BoolArray:
    """Return which readings exist when supports are of different age.

    Every series keeps its first readings, two at least.
    """
    n, many = truth.t.shape
    length = rng.integers(2, many + 1, n)
    return np.asarray(np.arange(many) < length[:, None])


def _visits(n: int, many: int, rng: np.random.Generator) -> FloatArray:
    gap = GAP_YEARS * np.exp(0.25 * rng.normal(size=(n, many)))
    gap *= np.where(rng.random((n, many)) < 0.07, 2.0, 1.0)
    gap[:, 0] = 0.0
    return np.cumsum(gap, axis=1)


def _rates(world: World, n: int, rng: np.random.Generator) -> FloatArray:
    kind = rng.random(n)
    slow = 0.45 * np.exp(0.6 * rng.normal(size=n))
    quick = 1.8 * np.exp(0.4 * rng.normal(size=n))
    if world.twin:
        slow, quick = np.full(n, 0.4), np.full(n, 1.6)
    rate = np.where(kind < world.fast, quick, slow)
    still = kind > 1.0 - world.still
    return np.asarray(world.pace * np.where(still, 0.04 * rng.normal(size=n), rate))


def _onsets(world: World, n: int, rng: np.random.Generator) -> FloatArray:
    late = rng.random(n) < 0.5
    return np.where(late, rng.uniform(0.0, 1.0, n) * world.onset_years, 0.0)


def _level(
    world: World, t: FloatArray, movement: tuple[FloatArray, FloatArray]
) -> FloatArray:
    rate, onset = movement
    since = np.maximum(t - onset[:, None], 0.0)
    if world.power != 1.0:
        since = 10.0 * (since / 10.0) ** world.power
    return rate[:, None] * since


def _walk(
    world: World, times: FloatArray, order: IntArray, rng: np.random.Generator
) -> FloatArray:
    if not world.drift_noise:
        return np.zeros(times.shape)
    step = np.sqrt(np.diff(times, axis=1, prepend=0.0))
    walk = np.cumsum(world.drift_noise * step * rng.normal(size=times.shape), axis=1)
    out = np.empty_like(walk)
    np.put_along_axis(out, order, walk, 1)
    return out


def _season(world: World, t: FloatArray, rng: np.random.Generator) -> FloatArray:
    if not world.season:
        return np.zeros(t.shape)
    own = world.season_spread * rng.normal(size=(2, len(t), 1))
    angle = 2.0 * np.pi * t
    swing = (world.season + own[0]) * np.cos(angle) + own[1] * np.sin(angle)
    return np.asarray(swing)


def _shared_heave(world: World, t: FloatArray, rng: np.random.Generator) -> FloatArray:
    """Return a movement that ten neighbours share at each visit."""
    if not world.heave:
        return np.zeros(t.shape)
    site = rng.normal(size=(len(t) // 10 + 1, t.shape[1])) * world.heave
    return np.asarray(np.repeat(site, 10, axis=0)[: len(t)])


def _own_noise(world: World, n: int, rng: np.random.Generator) -> FloatArray:
    return np.exp(world.noise_spread * rng.normal(size=(n, 1)))


def _crossing(path: FloatArray, ahead: FloatArray) -> FloatArray:
    beyond = path >= LIMIT
    first = ahead[np.argmax(beyond, axis=1)]
    return np.where(beyond.any(axis=1), first, np.inf)
