"""A block under each of its laws: filtered, judged, and where it stands today."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import ndtri

from monitor.trends.block import Block, Fleet
from monitor.trends.codes import BoolArray, FloatArray, IntArray, Law, LawSet
from monitor.trends.crossing import Path
from monitor.trends.filter import Run, moved, run, spread_factor
from monitor.trends.hyper import Hyper
from monitor.trends.laws import PRIOR_LAW_WEIGHTS, floored, warp
from monitor.trends.prior import Prior, prior_of
from monitor.trends.readings import Series
from monitor.trends.robust import newest_pace, trust
from monitor.trends.track import Foresight, Track

_Z95: Final = 1.6448536269514722


@dataclass(frozen=True, slots=True)
class Filtered:
    """A block under each of its laws, with the share of each law.

    Parameters
    ----------
    gross_share : prior share of gross errors among readings
    """

    block: Block
    prior: Prior
    runs: dict[Law, Run]
    shares: dict[Law, FloatArray]
    suspect: BoolArray
    gross_share: float


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
        found = trust(part, part_prior, hyper)
        for law in laws:
            _put(runs[law], run(part, part_prior, law, hyper, found), at)
    shares = law_shares(fleet, block, runs)
    return Filtered(block, prior, runs, shares, suspect, hyper.outlier_share)


def credited(filtered: Filtered, hyper: Hyper, at: IntArray) -> Filtered:
    """Return the chosen series as they stand if their newest reading is right.

    It counts in full, the slope may have changed just before it, and as fast as it
    says.
    """
    block, prior = filtered.block.columns(at), filtered.prior.columns(at)
    found = trust(block, prior, hyper)
    found.shares[-1], found.changed[-1] = 1.0, True
    np.maximum(found.pace, newest_pace(block), out=found.pace)
    runs = {law: run(block, prior, law, hyper, found) for law in filtered.runs}
    shares = {law: share[at] for law, share in filtered.shares.items()}
    suspect = filtered.suspect[at]
    return Filtered(block, prior, runs, shares, suspect, filtered.gross_share)


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
        stretch = _stretch(filtered, done.track)
        paths.append(Path(track, prior, law, now, stretch, filtered.shares[law]))
    return paths


def moved_on(
    track: Track, prior: Prior, law: Law, times: tuple[FloatArray, FloatArray]
) -> Track:
    """Return the state at a later time; the given state is left as it is. [yr]"""
    then, now = times
    chance = -np.expm1(-prior.hazard * (now - then))
    return moved(track, prior, chance, warp(law, now) - warp(law, then))


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


def next_noise(filtered: Filtered) -> FloatArray:
    """Return the noise variance of one more reading like the newest. [unit^2]"""
    spread = spread_factor(leading_run(filtered).track, filtered.prior)
    return np.asarray(filtered.block.variance[-1] * spread)


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


def _stretch(filtered: Filtered, track: Track) -> FloatArray:
    """Return the factor on variances for what few readings leave unknown.

    A noise known from few: Student's t over the normal 95 % point, by the expansion in
    1 / degrees of freedom (Abramowitz and Stegun 26.7.5, from memory). A gross error
    that one or two readings can not betray: the 90 % of the sound ones hold more than
    90 % of theirs. Further readings outvote it, here as the square of their number
    (measured by the workbench, not derived).
    """
    block, prior = filtered.block, filtered.prior
    df = prior.noise_df + track.counted
    z = _Z95
    t = z + (z**3 + z) / (4.0 * df)
    t = t + (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / (96.0 * df * df)
    count = block.t.shape[0] - block.begin
    hidden = filtered.gross_share * np.minimum(2.0 / count, 1.0) ** 2
    wide = ndtri(0.5 + 0.45 / (1.0 - hidden)) / z
    return np.asarray((t / z * wide * prior.widen) ** 2)
