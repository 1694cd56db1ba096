"""When a limit is reached, with what chance, and how likely it is passed already.

The chance that the level lies beyond the limit after D years is a sum over regimes;
a regime may also end in that time and a new slope begin (three moments of change
stand for all). The running maximum over D is the chance of having reached the limit.

References
----------
.. [1] Sankaran, Biometrika 50 (1963) 199: normal approximation to the non-central
       chi-square, used for leaving a circle (from memory).
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from scipy.special import ndtr, ndtri

from monitor.trends.block import Block
from monitor.trends.codes import BoolArray, FloatArray, IntArray, Law
from monitor.trends.laws import warp
from monitor.trends.prior import Prior
from monitor.trends.readings import Series
from monitor.trends.track import Track, axes_mean, axes_sum

QUANTILES: Final = (0.05, 0.50, 0.95)
GRID: Final = 13
REFINEMENTS: Final = 4
FIRST_YEARS: Final = 0.2
_MOMENTS: Final = tuple(0.5 + 0.5 * u for u in (-np.sqrt(0.6), 0.0, np.sqrt(0.6)))
_SHARES: Final = (5 / 18, 8 / 18, 5 / 18)
_TINY: Final = 1e-13


@dataclass(frozen=True, slots=True)
class Path:
    """Where a series stands today under one law, and what it may do next.

    Parameters
    ----------
    track : state today
    prior : what a new slope would be drawn from
    law : law of movement
    now : age today [yr]
    stretch : factor on variances: small samples and the self-audit
    share : probability of the law, shape (N,)
    """

    track: Track
    prior: Prior
    law: Law
    now: FloatArray
    stretch: FloatArray
    share: FloatArray
    pool: "Pool | None" = None


@dataclass(frozen=True, slots=True)
class Pool:
    """Moments of the regimes taken together: the level's second moment over time.

    E[level^2] = square + cross * d + speed2 * d^2 after warped time d.
    """

    level: FloatArray
    slope: FloatArray
    square: FloatArray
    cross: FloatArray
    speed2: FloatArray


@dataclass(frozen=True, slots=True)
class Target:
    """A limit in the coordinates of a block.

    Parameters
    ----------
    level : limit [unit]: a level, or a radius about `centre`
    centre : centre of the radius, shape (A, N); zero for a level
    is_radius : whether leaving on either side counts
    """

    level: FloatArray
    centre: FloatArray
    is_radius: BoolArray


def target(block: Block, series: Series, limit: FloatArray) -> Target:
    """Return a limit of the block's series in the block's coordinates."""
    radius = series.is_vector | (series.direction == 0)
    given = np.stack((series.centre * block.sign, series.centre_y))[: len(block.base)]
    centre = np.where(np.isnan(given), 0.0, given - block.base)
    level = np.where(radius, limit, limit * block.sign - block.base[0])
    return Target(level, np.where(radius, centre, 0.0), radius)


def chance_beyond(paths: list[Path], aim: Target, years: FloatArray) -> FloatArray:
    """Return the chance that the level is beyond the limit after some years.

    Parameters
    ----------
    years : from today [yr], one for each series
    """
    return chances_beyond(paths, [aim], years)[0]


def chances_beyond(
    paths: list[Path], aims: list[Target], years: FloatArray
) -> list[FloatArray]:
    """Return the chance of being beyond each of several limits after some years."""
    totals = [np.zeros(years.shape) for _ in aims]
    for path in paths:
        parts = _parts(path, years)
        for total, aim in zip(totals, aims, strict=True):
            total += path.share * _outside(parts, aim)
    return totals


def crossing_years(
    paths: list[Path], aims: list[Target], horizon_years: float
) -> list[tuple[FloatArray, FloatArray]]:
    """Return, for each limit, the 5, 50, 95 % times and the chance of today.

    Returns
    -------
    list of (years, chance) : years from today [yr], shape (3, N); infinite where the
        chance within the horizon stays below the quantile, 0 where it is already met
    """
    n = paths[0].now.size
    paths = [replace(path, pool=_pool(path)) for path in paths]
    grid = np.concatenate(([0.0], np.geomspace(FIRST_YEARS, horizon_years, GRID)))
    values = [chances_beyond(paths, aims, np.full(n, d)) for d in grid]
    results = []
    for which, aim in enumerate(aims):
        curve = np.array([value[which] for value in values])
        beyond = curve[0].copy()
        curve = np.maximum.accumulate(curve, axis=0)
        years = [_solve(paths, aim, (grid, curve), p) for p in QUANTILES]
        results.append((np.array(years), beyond))
    return results


@dataclass(frozen=True, slots=True)
class _Parts:
    mean: FloatArray
    sd: FloatArray
    weight: FloatArray


def _parts(path: Path, years: FloatArray) -> _Parts:
    """Return the normal parts of the level after some years: kept and new slopes."""
    track, prior = path.track, path.prior
    start = warp(path.law, path.now)
    whole = warp(path.law, path.now + years) - start
    mean, variance = _moved(track, prior, whole)
    chance = -np.expm1(-prior.hazard * years)
    means, variances = [mean], [variance]
    weights = [track.weight * (1.0 - chance)]
    if np.any(prior.hazard):
        for moment, share in zip(_MOMENTS, _SHARES, strict=True):
            before = warp(path.law, path.now + moment * years) - start
            mean, variance = _changed(path, before, whole - before)
            means.append(mean)
            variances.append(variance)
            weights.append(prior.fresh * (chance * share))
    sd = np.sqrt(np.concatenate(variances) * path.stretch)
    return _Parts(np.concatenate(means, axis=1), sd, np.concatenate(weights))


def _moved(track: Track, prior: Prior, d: FloatArray) -> tuple[FloatArray, FloatArray]:
    variance = track.pxx + d * (2.0 * track.pxb + d * track.pbb)
    variance = variance + prior.kappa2 * d + prior.q * d**3 / 3.0
    return track.x + d * track.b, variance


def _pool(path: Path) -> Pool:
    track, g = path.track, path.track.weight
    mean = axes_mean
    return Pool(
        level=np.sum(g * track.x, axis=1),
        slope=np.sum(g * track.b, axis=1),
        square=np.sum(g * (track.pxx + mean(track.x**2)), axis=0),
        cross=2.0 * np.sum(g * (track.pxb + mean(track.x * track.b)), axis=0),
        speed2=np.sum(g * (track.pbb + mean(track.b**2)), axis=0),
    )


def _changed(
    path: Path, before: FloatArray, after: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return level parts when the slope is drawn anew part of the way."""
    pool, prior = path.pool or _pool(path), path.prior
    middle = pool.level + before * pool.slope
    pooled = pool.square + before * (pool.cross + before * pool.speed2)
    pooled = np.maximum(pooled - axes_mean(middle**2), 0.0)
    for d in (before, after):
        pooled = pooled + prior.kappa2 * d + prior.q * d**3 / 3.0
    mean = middle[:, None] + after * prior.mean
    return mean, pooled + after**2 * prior.variance


def _outside(parts: _Parts, aim: Target) -> FloatArray:
    if parts.mean.shape[0] > 1:
        away = np.sqrt(axes_sum((parts.mean - aim.centre[:, None]) ** 2))
        chance = chance_outside_circle(away, parts.sd, aim.level)
        return np.asarray(np.sum(parts.weight * chance, axis=0))
    mean = parts.mean[0] - aim.centre[0]
    chance = ndtr((mean - aim.level) / parts.sd)
    if np.any(aim.is_radius):
        other = ndtr((-mean - aim.level) / parts.sd)
        chance = chance + np.where(aim.is_radius, other, 0.0)
    return np.asarray(np.sum(parts.weight * chance, axis=0))


def chance_outside_circle(
    distance: FloatArray, sd: FloatArray, radius: FloatArray
) -> FloatArray:
    """Return the chance that a two-axis normal point lies outside a circle.

    Parameters
    ----------
    distance : of the mean from the centre [unit]
    sd : of each axis [unit]
    radius : of the circle [unit]
    """
    lam = (distance / sd) ** 2
    ratio = (np.maximum(radius, 0.0) / sd) ** 2 / (2.0 + lam)
    p = (2.0 + 2.0 * lam) / (2.0 + lam) ** 2
    h = 1.0 - (2.0 / 3.0) * (2.0 + lam) * (2.0 + 3.0 * lam) / (2.0 + 2.0 * lam) ** 2
    m = (h - 1.0) * (1.0 - 3.0 * h)
    mean = 1.0 + h * p * (h - 1.0 - 0.5 * (2.0 - h) * m * p)
    z = (ratio**h - mean) / (h * np.sqrt(2.0 * p) * (1.0 + 0.5 * m * p))
    return np.asarray(ndtr(-z))


def _solve(
    paths: list[Path],
    aim: Target,
    table: tuple[FloatArray, FloatArray],
    chance: float,
) -> FloatArray:
    """Return the time at which the chance is reached; only where it is at all."""
    grid, curve = table
    above = curve >= chance
    first = np.argmax(above, axis=0)
    years = np.where(above.any(axis=0), 0.0, np.inf)
    at = np.flatnonzero(first)
    if at.size:
        high = first[at]
        ends = np.stack((grid[high - 1], grid[high]))
        chances = np.stack((curve[high - 1, at], curve[high, at]))
        some = [_path_columns(path, at) for path in paths]
        part = Target(aim.level[at], aim.centre[:, at], aim.is_radius[at])
        years[at] = _closed_in(some, part, (ends, chances), chance)
    return years


def _closed_in(
    paths: list[Path],
    aim: Target,
    bracket: tuple[FloatArray, FloatArray],
    chance: float,
) -> FloatArray:
    """Return the time at which the chance is reached, by false position.

    Time runs on a log scale and chances on the normal scale, where curves are nearly
    straight.
    """
    want = float(ndtri(chance))
    s0, s1 = _log_time(bracket[0])
    z0, z1 = _normal(bracket[1]) - want
    was_low = np.zeros(s0.shape, dtype=np.bool_)
    for step in range(REFINEMENTS):
        s = np.clip(s0 - z0 * (s1 - s0) / np.maximum(z1 - z0, _TINY), s0, s1)
        z = _normal(chance_beyond(paths, aim, _time(s))) - want
        low = z < 0.0
        # Illinois: an end that stays twice counts half, so both ends close in.
        z0 = np.where(low, z, np.where(was_low, z0, 0.5 * z0) if step else z0)
        z1 = np.where(low, np.where(was_low, 0.5 * z1, z1) if step else z1, z)
        s0, s1, was_low = np.where(low, s, s0), np.where(low, s1, s), low
    s = np.clip(s0 - z0 * (s1 - s0) / np.maximum(z1 - z0, _TINY), s0, s1)
    return np.maximum(_time(s), 0.0)


def _path_columns(path: Path, chosen: IntArray) -> Path:
    track = Track(*(getattr(path.track, n)[..., chosen] for n in Track.__slots__))
    pool = path.pool or _pool(path)
    return Path(
        track,
        path.prior.columns(chosen),
        path.law,
        path.now[chosen],
        path.stretch[chosen],
        path.share[chosen],
        Pool(*(getattr(pool, n)[..., chosen] for n in Pool.__slots__)),
    )


def _log_time(years: FloatArray) -> FloatArray:
    return np.asarray(np.log(years + FIRST_YEARS))


def _time(log_years: FloatArray) -> FloatArray:
    return np.asarray(np.exp(log_years) - FIRST_YEARS)


def _normal(chance: FloatArray) -> FloatArray:
    return np.asarray(ndtri(np.clip(chance, _TINY, 1.0 - _TINY)))
