"""From one block of readings to every number of its outlooks."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from monitor.trends.block import Block, Fleet
from monitor.trends.codes import BoolArray, FloatArray
from monitor.trends.crossing import Path, crossing_years, target
from monitor.trends.doubts import doubts
from monitor.trends.filtered import (
    Filtered,
    credited,
    filter_block,
    leading_run,
    moved_on,
    next_noise,
    paths_today,
)
from monitor.trends.hyper import Hyper
from monitor.trends.laws import warp_rate
from monitor.trends.mixture import Mixture, stacked
from monitor.trends.readings import Series
from monitor.trends.track import axes_sum

ASKED_OF_A_DOUBT: Final = ("level", "rate", "watch_years", "act_years")
"""Columns that are also told as they are if a doubted newest reading is right."""


@dataclass(frozen=True, slots=True)
class BlockOutlook:
    """Outlooks of a block: named columns, series last; shares and errors by row."""

    block: Block
    columns: dict[str, FloatArray]
    weights: FloatArray
    z: FloatArray


def assess_block(fleet: Fleet, block: Block) -> BlockOutlook:
    """Return every number of the outlooks of a block."""
    filtered = filter_block(fleet, block)
    return answer(filtered, fleet.series.take(block.rows), fleet.hyper)


def answer(filtered: Filtered, series: Series, hyper: Hyper) -> BlockOutlook:
    """Return every number of the outlooks of a filtered block."""
    paths = paths_today(filtered, series)
    columns = _facts(filtered)
    columns |= _movement(filtered, paths, series)
    columns |= _dates(filtered, paths, series, hyper)
    columns |= doubts(filtered, hyper)
    columns |= _if_right(filtered, series, hyper, columns["newest_unconfirmed"] > 0.0)
    leading = leading_run(filtered)
    return BlockOutlook(filtered.block, columns, leading.weights, leading.z)


def _if_right(
    filtered: Filtered, series: Series, hyper: Hyper, doubted: BoolArray
) -> dict[str, FloatArray]:
    """Return what holds if a doubted newest reading is right, NaN where none is."""
    empty = np.full((3, doubted.size), np.nan)
    out = {f"{name}_if_right": empty.copy() for name in ASKED_OF_A_DOUBT}
    at = np.flatnonzero(doubted)
    if at.size:
        part, chosen = credited(filtered, hyper, at), series.take(at)
        paths = paths_today(part, chosen)
        found = _movement(part, paths, chosen) | _dates(part, paths, chosen, hyper)
        for name in ASKED_OF_A_DOUBT:
            out[f"{name}_if_right"][:, at] = found[name]
    return out


def _facts(filtered: Filtered) -> dict[str, FloatArray]:
    block = filtered.block
    steps, n = block.t.shape
    return {
        "readings": (steps - block.begin).astype(np.float64),
        "first_years": block.t[block.begin, np.arange(n)],
        "last_years": block.t[-1],
    }


def _movement(
    filtered: Filtered, paths: list[Path], series: Series
) -> dict[str, FloatArray]:
    """Return level, rate, next readings and classes."""
    block = filtered.block
    shares = [path.share for path in paths]
    mean_x = np.sum([_mixed(p.track.x, p) for p in paths], axis=0)
    mean_b = np.sum(
        [_mixed(p.track.b, p) * warp_rate(p.law, p.now) for p in paths], axis=0
    )
    noise = next_noise(filtered)
    centre = target(block, series, series.act).centre
    out = {"rate": _rate(paths, mean_b, block)}
    zero = np.zeros(block.rows.size)
    levels = [_along(p, mean_x - centre, centre, zero) for p in paths]
    out["level"] = _turned(stacked(levels, shares), block, series)
    seen = [_along(p, mean_x - centre, centre, noise) for p in paths]
    out["next_now"] = _turned(stacked(seen, shares), block, series)
    later = [_a_year_on(path) for path in paths]
    seen = [_along(p, mean_x - centre, centre, noise) for p in later]
    out["next_year"] = _turned(stacked(seen, shares), block, series)
    out["classes"] = np.sum([p.share * p.track.weight for p in paths], axis=0)
    out["level_xy"] = _components((mean_x + block.base) * block.sign)
    out["rate_xy"] = _components(mean_b * block.sign)
    return out


def _mixed(values: FloatArray, path: Path) -> FloatArray:
    return np.asarray(path.share * np.sum(path.track.weight * values, axis=1))


def _components(values: FloatArray) -> FloatArray:
    return (
        values if len(values) == 2 else np.stack((values[0], np.zeros_like(values[0])))
    )


def _a_year_on(path: Path) -> Path:
    later = moved_on(path.track, path.prior, path.law, (path.now, path.now + 1.0))
    return replace(path, track=later, now=path.now + 1.0)


def _direction(vector: FloatArray) -> FloatArray:
    """Return unit vectors; along x where there is no direction."""
    if len(vector) == 1:
        return np.ones_like(vector)
    length = np.sqrt(axes_sum(vector**2))
    unit = vector / np.where(length > 0.0, length, 1.0)
    unit[0] = np.where(length > 0.0, unit[0], 1.0)
    return unit


def _along(
    path: Path, way: FloatArray, centre: FloatArray, noise: FloatArray
) -> Mixture:
    """Return the level as a mixture; of a vector, its part along the way it went."""
    unit = _direction(way)
    from_centre = path.track.x - (centre if len(unit) > 1 else 0.0 * centre)[:, None]
    mean = axes_sum(unit[:, None] * from_centre)
    sd = np.sqrt((path.track.pxx + noise) * path.stretch)
    return Mixture(mean, sd, path.track.weight)


def _turned(mixture: Mixture, block: Block, series: Series) -> FloatArray:
    """Return 5, 50, 95 % in the reading's own sense, within its physical bounds."""
    values = np.array([mixture.quantile(p) for p in (0.05, 0.50, 0.95)])
    if len(block.base) > 1:
        return values
    values = (values + block.base[0]) * block.sign
    return np.asarray(np.clip(np.sort(values, axis=0), series.floor, series.ceiling))


def _rate(paths: list[Path], mean_b: FloatArray, block: Block) -> FloatArray:
    """Return 5, 50, 95 % of the rate today; never narrower than the scale resolves."""
    unit = _direction(mean_b)
    parts, shares = [], []
    for path in paths:
        speed = warp_rate(path.law, path.now)
        mean = axes_sum(unit[:, None] * path.track.b) * speed
        sd = np.sqrt(path.track.pbb * path.stretch) * speed
        parts.append(Mixture(mean, sd, path.track.weight))
        shares.append(path.share)
    whole = stacked(parts, shares)
    values = np.array([whole.quantile(p) for p in (0.05, 0.50, 0.95)])
    values = np.sort(values * (block.sign if len(unit) == 1 else 1.0), axis=0)
    finest = _unresolved(block)
    values[0] = np.where(finest > 0.0, np.minimum(values[0], -finest), values[0])
    values[2] = np.where(finest > 0.0, np.maximum(values[2], finest), values[2])
    return values


def _unresolved(block: Block) -> FloatArray:
    """Return the rate that a scale can not tell from none, where all read the same."""
    equal = np.all((block.y == 0.0) | ~block.valid, axis=(0, 1))
    span = block.t[-1] - block.t[block.begin, np.arange(block.rows.size)]
    known = equal & (span > 0.0)
    return np.where(known, block.resolution / np.where(known, span, 1.0), 0.0)


def _dates(
    filtered: Filtered, paths: list[Path], series: Series, hyper: Hyper
) -> dict[str, FloatArray]:
    """Return when watch and act limits are reached, NaN where none is given."""
    block = filtered.block
    out: dict[str, FloatArray] = {}
    limits = {"watch": series.watch, "act": series.act}
    given = {name: limit for name, limit in limits.items() if np.any(~np.isnan(limit))}
    for name in limits:
        out[f"{name}_years"] = np.full((3, block.rows.size), np.nan)
        out[f"{name}_beyond"] = np.full(block.rows.size, np.nan)
    aims = [target(block, series, np.nan_to_num(limit)) for limit in given.values()]
    found = crossing_years(paths, aims, hyper.horizon_years) if aims else []
    for (name, limit), (years, beyond) in zip(given.items(), found, strict=True):
        missing = np.isnan(limit)
        out[f"{name}_years"] = np.where(missing, np.nan, years)
        out[f"{name}_beyond"] = np.where(missing, np.nan, beyond)
    return out
