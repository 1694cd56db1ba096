"""From one block of readings to every number of its outlooks."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from scipy.special import log_ndtr, ndtri_exp

from monitor.trends.block import Block, Fleet
from monitor.trends.codes import BoolArray, FloatArray, IntArray, Law, LawSet
from monitor.trends.crossing import Path, crossing_years, target
from monitor.trends.evidence import STEP_EVIDENCE, drift_evidence, step_evidence
from monitor.trends.filter import SUSPECT_BELOW, Run, moved, run, spread_factor
from monitor.trends.hyper import Hyper
from monitor.trends.laws import PRIOR_LAW_WEIGHTS, floored, warp, warp_rate
from monitor.trends.mixture import Mixture, stacked
from monitor.trends.prior import Prior, prior_of
from monitor.trends.readings import Series
from monitor.trends.robust import inflated, trust
from monitor.trends.track import Foresight, Track, axes_sum

NEWEST_Z: Final = 3.0
ODD_Z: Final = 2.5
"""A jump is looked for where a reading was this far off. [sd]"""

_Z95: Final = 1.6448536269514722


@dataclass(frozen=True, slots=True)
class BlockOutlook:
    """Outlooks of a block: named columns, series last; shares and errors by row."""

    block: Block
    columns: dict[str, FloatArray]
    weights: FloatArray
    z: FloatArray


@dataclass(frozen=True, slots=True)
class Filtered:
    """A block under each of its laws, with the share of each law."""

    block: Block
    prior: Prior
    runs: dict[Law, Run]
    shares: dict[Law, FloatArray]
    suspect: BoolArray


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
    columns |= _doubts(filtered, hyper)
    leading = leading_run(filtered)
    return BlockOutlook(filtered.block, columns, leading.weights, leading.z)


def filter_block(fleet: Fleet, block: Block) -> Filtered:
    """Return the block filtered under each law, doubtful series twice.

    Series whose readings all fit count every reading in full. The others are judged
    as a whole first, then filtered with what each reading deserves.
    """
    hyper, prior = fleet.hyper, prior_of(fleet, block)
    law_set = LawSet(int(fleet.series.law_set[block.rows[0]]))
    laws = _laws(fleet, block, law_set)
    runs = {law: run(block, prior, law, hyper) for law in laws}
    suspect = np.any([r.suspect for r in runs.values()], axis=0)
    at = np.flatnonzero(suspect)
    if at.size:
        part, part_prior = block.columns(at), prior.columns(at)
        trusted = trust(part, part_prior, hyper)
        for law in laws:
            _put(runs[law], run(part, part_prior, law, hyper, trusted), at)
    shares = law_shares(fleet, block, runs)
    return Filtered(block, prior, runs, shares, suspect)


def law_shares(
    fleet: Fleet, block: Block, runs: dict[Law, Run]
) -> dict[Law, FloatArray]:
    """Return the share of each law: pooled where fitted, else from the series alone."""
    law_set = LawSet(int(fleet.series.law_set[block.rows[0]]))
    prior = PRIOR_LAW_WEIGHTS[law_set]
    loglik = {law: done.track.loglik for law, done in runs.items()}
    top = np.max(list(loglik.values()), axis=0)
    shares = {law: prior[law] * np.exp(loglik[law] - top) for law in runs}
    total = np.sum(list(shares.values()), axis=0)
    shares = {law: share / total for law, share in shares.items()}
    shares = floored(shares, law_set) if len(runs) > 1 else shares
    groups = fleet.series.group[block.rows]
    for code in np.unique(groups):
        pooled = fleet.hyper.of(int(code)).laws
        if pooled:
            for law in runs:
                shares[law][groups == code] = pooled.get(law, 0.0)
    return shares


def paths_today(filtered: Filtered, series: Series) -> list[Path]:
    """Return where each series stands today under each law."""
    block, prior = filtered.block, filtered.prior
    now = np.maximum(series.now_years, block.t[-1])
    paths = []
    for law, done in filtered.runs.items():
        track = moved_on(done.track, prior, law, (block.t[-1], now))
        stretch = _stretch(done.track, prior)
        paths.append(Path(track, prior, law, now, stretch, filtered.shares[law]))
    return paths


def moved_on(
    track: Track, prior: Prior, law: Law, times: tuple[FloatArray, FloatArray]
) -> Track:
    """Return the state at a later time; the given state is left as it is. [yr]"""
    then, now = times
    chance = -np.expm1(-prior.hazard * (now - then))
    return moved(track, prior, chance, warp(law, now) - warp(law, then))


def _put(into: Run, part: Run, at: IntArray) -> None:
    into.track.state[at], into.track.sums[at] = part.track.state, part.track.sums
    into.newest.table[at] = part.newest.table
    into.weights[:, at] = part.weights
    into.z[:, at] = part.z


def _laws(fleet: Fleet, block: Block, law_set: LawSet) -> list[Law]:
    """Return the laws that at least one group of the block gives a share."""
    groups = np.unique(fleet.series.group[block.rows])
    pooled = [fleet.hyper.of(int(code)).laws for code in groups]
    return [
        law
        for law in PRIOR_LAW_WEIGHTS[law_set]
        if any(not laws or laws.get(law, 0.0) > 0.0 for laws in pooled)
    ]


def _stretch(track: Track, prior: Prior) -> FloatArray:
    """Return the factor on variances for a noise known from few readings.

    Student's t over the normal 95 % point, by the expansion in 1 / degrees of freedom
    (Abramowitz and Stegun 26.7.5, from memory).
    """
    df = prior.noise_df + track.counted
    z = _Z95
    t = z + (z**3 + z) / (4.0 * df)
    t = t + (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / (96.0 * df * df)
    return np.asarray((t / z * prior.widen) ** 2)


def leading_run(filtered: Filtered) -> Run:
    """Return for each series the run under the law with the largest share."""
    runs = list(filtered.runs.values())
    if len(runs) == 1:
        return runs[0]
    best = np.argmax([filtered.shares[law] for law in filtered.runs], axis=0)
    column = np.arange(best.size)
    axes = filtered.prior.axes
    track = Track(
        np.stack([r.track.state for r in runs])[best, column],
        np.stack([r.track.sums for r in runs])[best, column],
        axes,
    )
    newest = Foresight(np.stack([r.newest.table for r in runs])[best, column], axes)
    weights, z = (
        np.stack([getattr(r, name) for r in runs])[best, :, column].T
        for name in ("weights", "z")
    )
    return Run(track, weights, z, filtered.suspect, newest)


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


def next_noise(filtered: Filtered) -> FloatArray:
    """Return the noise variance of one more reading like the newest. [unit^2]"""
    spread = spread_factor(leading_run(filtered).track, filtered.prior)
    return np.asarray(filtered.block.variance[-1] * spread)


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


def _doubts(filtered: Filtered, hyper: Hyper) -> dict[str, FloatArray]:
    """Return evidence of drift and of a jump, and doubts about the newest reading."""
    block, prior = filtered.block, filtered.prior
    leading = leading_run(filtered)
    spread = spread_factor(leading.track, prior)
    noise = inflated(block, leading.weights, hyper) * np.maximum(spread, 1.0)
    z = newest_z(leading.newest)
    alone = block.begin < block.t.shape[0] - 1
    doubted = (leading.weights[-1] < SUSPECT_BELOW) | (np.abs(z) > NEWEST_Z)
    return {
        "evidence": drift_evidence(block, prior, noise, hyper),
        "newest_z": np.where(alone, z, 0.0),
        "newest_unconfirmed": (alone & doubted).astype(np.float64),
        "spread": spread,
        "weightless": np.all(
            (leading.weights < SUSPECT_BELOW) | ~block.valid, axis=0
        ).astype(np.float64),
    } | _steps(filtered, leading, hyper)


def _steps(filtered: Filtered, leading: Run, hyper: Hyper) -> dict[str, FloatArray]:
    block = filtered.block
    n = block.rows.size
    years, size, evidence = np.full(n, np.nan), np.zeros(n), np.ones(n)
    odd = np.abs(leading.z).max(axis=0) > ODD_Z
    at = np.flatnonzero(filtered.suspect | odd)
    if at.size:
        part = block.columns(at)
        found = step_evidence(
            part, filtered.prior.columns(at), leading.weights[:, at], hyper
        )
        seen = found.evidence > STEP_EVIDENCE
        when = part.t[found.row, np.arange(at.size)]
        years[at] = np.where(seen, when, np.nan)
        size[at] = np.where(seen, found.size * part.sign, 0.0)
        evidence[at] = found.evidence
    return {"step_years": years, "step_size": size, "step_evidence": evidence}


def newest_z(seen: Foresight) -> FloatArray:
    """Return the normal score of the newest reading under what was expected.

    For a vector it is the length of the mean error in sds.
    """
    sd = np.sqrt(seen.variance)
    if seen.error.shape[0] > 1:
        centre = np.sum(seen.weight * seen.error, axis=1)
        spread = np.sum(seen.weight * seen.variance, axis=0)
        return np.asarray(np.sqrt(axes_sum(centre**2) / spread / 2.0))
    sign = np.sign(np.sum(seen.weight * seen.error[0], axis=0))
    log_weight = np.log(np.maximum(seen.weight, 1e-300))
    tail = log_weight + log_ndtr(-sign * seen.error[0] / sd)
    top = tail.max(axis=0)
    log_tail = np.minimum(top + np.log(np.sum(np.exp(tail - top), axis=0)), -1e-12)
    return np.asarray(-sign * ndtri_exp(log_tail))
