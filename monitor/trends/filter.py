"""The level-and-slope filter over a block of series, with four regimes of slope.

Each regime carries a level x and a slope b with their covariance. Over a gap the
level moves by slope x warped time and by a random walk; with a small hazard the slope
is drawn anew. A reading multiplies the regime weights by how well each foresaw it.
Covariances are shared by the axes of a vector: both axes are read in the same moment
with the same instrument.

References
----------
.. [1] Harvey, Forecasting, Structural Time Series Models and the Kalman Filter, 1989,
       ch. 4: local linear trend.
.. [2] Blom and Bar-Shalom, IEEE Trans. Automatic Control 33 (1988) 780: merging of
       regimes by moments (from memory).
"""

import math
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np

from monitor.trends.block import Block
from monitor.trends.codes import BoolArray, FloatArray, IntArray, Law
from monitor.trends.compiled import compiled, inlined
from monitor.trends.hyper import Hyper
from monitor.trends.laws import warp, warp_rate
from monitor.trends.prior import HAZARD, NOISE_DF, Prior
from monitor.trends.step import Odds, Reading, advance, mix, read
from monitor.trends.track import (
    PBB,
    PXX,
    SEEN_COLUMNS,
    SLOPE,
    STATE_COLUMNS,
    SUM_COLUMNS,
    WEIGHT,
    Foresight,
    Track,
)

DIFFUSE: Final = 1e12
SUSPECT_BELOW: Final = 0.5
"""A reading with less chance than this of being sound is looked at again."""

CHANGE_HAZARD: Final = 2.0
"""Chance of a new slope where neighbours confirm a change: two a year. [1/yr]"""

_NO_RELATION: Final = np.zeros((0, 0), dtype=np.int64)


class Trust(NamedTuple):
    """What judging the readings of a block found.

    Parameters
    ----------
    shares : with which each reading counts at least, shape (T, N)
    changed : readings that confirm a change with a neighbour, shape (T, N)
    pace : square of the fastest confirmed change [unit^2/yr^2], shape (N,)
    """

    shares: FloatArray
    changed: BoolArray
    pace: FloatArray


IN_FULL: Final = Trust(np.zeros((0, 0)), np.zeros((0, 0), dtype=np.bool_), np.zeros(0))
"""Nothing was judged: every reading counts in full."""


@dataclass(frozen=True, slots=True)
class Run:
    """A block filtered under one law.

    Parameters
    ----------
    track : state after the newest reading
    weights : share with which each reading counted, shape (T, N)
    z : standardised one-step error of each reading, zero for the first, shape (T, N)
    suspect : series with a reading that did not fit
    newest : what was expected of the newest reading
    """

    track: Track
    weights: FloatArray
    z: FloatArray
    suspect: BoolArray
    newest: Foresight


class Rows(NamedTuple):
    """Readings as the compiled loops take them, see `Block`; `warped` under a law."""

    t: FloatArray
    warped: FloatArray
    y: FloatArray
    variance: FloatArray
    jump: FloatArray
    relation: IntArray
    begin: IntArray


class Beliefs(NamedTuple):
    """Prior and running state as the compiled loops take them."""

    table: FloatArray
    walk: FloatArray
    state: FloatArray
    sums: FloatArray
    seen: FloatArray


def begin(block: Block, prior: Prior) -> tuple[Track, Foresight]:
    """Return the state before any reading: level unknown, slope from the prior."""
    n, regimes, _ = prior.table.shape
    axes = prior.axes
    state = np.zeros((n, regimes, STATE_COLUMNS))
    state[:, :, WEIGHT] = prior.weight.T
    state[:, :, PXX] = (DIFFUSE * block.noise**2)[:, None]
    state[:, :, PBB] = prior.variance.T
    state[:, :, SLOPE : SLOPE + axes] = prior.mean.T
    seen = np.zeros((n, regimes, SEEN_COLUMNS))
    return Track(state, np.zeros((n, SUM_COLUMNS)), axes), Foresight(seen, axes)


def run(
    block: Block,
    prior: Prior,
    law: Law,
    hyper: Hyper,
    trusted: Trust = IN_FULL,
) -> Run:
    """Return the block filtered under one law.

    A reading the filter itself foresaw counts more than its trusted share. Where a
    series has changed faster than its prior foresaw, the broad regime allows for it.
    """
    if trusted.pace.size:
        prior = prior.hurried(trusted.pace / warp_rate(law, block.t[-1]) ** 2)
    track, newest = begin(block, prior)
    weights, z = np.ones(block.t.shape), np.zeros(block.t.shape)
    suspect = np.zeros(block.rows.size, dtype=np.bool_)
    beliefs = Beliefs(prior.table, prior.walk, track.state, track.sums, newest.table)
    odds = Odds(prior.axes, hyper.outlier_share, hyper.outlier_ratio, 0.0)
    _run_all(rows_of(block, law), beliefs, trusted, (weights, z, suspect), odds)
    return Run(track, weights, z, suspect, newest)


def rows_of(block: Block, law: Law) -> Rows:
    """Return the readings of a block as the compiled loops take them."""
    relation = _NO_RELATION if block.relation is None else block.relation
    return Rows(
        block.t,
        warp(law, block.t),
        block.y,
        block.variance,
        block.jump,
        relation,
        block.begin,
    )


@compiled
def _run_all(
    rows: Rows,
    beliefs: Beliefs,
    trust: Trust,
    marks: tuple[FloatArray, FloatArray, BoolArray],
    odds: Odds,
) -> None:
    least = trust.shares
    weights, z, suspect = marks
    for i in range(suspect.size):
        own = _own(beliefs, i)
        first = rows.begin[i]
        for row in range(first, rows.t.shape[0]):
            if row > first:
                gap = rows.t[row, i] - rows.t[row - 1, i]
                warped = rows.warped[row, i] - rows.warped[row - 1, i]
                hazard = own.walk[HAZARD]
                if least.size and trust.changed[row, i]:
                    hazard = max(hazard, CHANGE_HAZARD)
                _pass(own, (gap, warped, rows.jump[row, i]), hazard, odds.axes)
            trusted = least[row, i] if least.size else -1.0
            share, error = _take(own, _reading(rows, row, i, trusted, odds.axes), odds)
            if least.size:
                weights[row, i] = share if row > first else trusted
            elif row > first:
                suspect[i] |= share < SUSPECT_BELOW
            z[row, i] = error if row > first else 0.0


@inlined
def _own(beliefs: Beliefs, i: int) -> Beliefs:
    """Return the rows of one series."""
    return Beliefs(
        beliefs.table[i],
        beliefs.walk[i],
        beliefs.state[i],
        beliefs.sums[i],
        beliefs.seen[i],
    )


def carry_on(
    done: Run,
    row: Block,
    prior: Prior,
    hyper: Hyper,
    when: tuple[Law, FloatArray, BoolArray],
) -> tuple[BoolArray, FloatArray]:
    """Take one more row of readings into a run; return which are sound, and their z.

    Parameters
    ----------
    when : the law, the time of the readings before [yr], and which series to carry on
    """
    law, before, alive = when
    rows, track = rows_of(row, law), done.track
    gap = row.t[0] - before, rows.warped[0] - warp(law, before)
    beliefs = Beliefs(
        prior.table, prior.walk, track.state, track.sums, done.newest.table
    )
    odds = Odds(prior.axes, hyper.outlier_share, hyper.outlier_ratio, 0.0)
    sound, z = alive.copy(), np.zeros(before.size)
    _carry_all(rows, beliefs, gap, (sound, z), odds)
    return sound, z


@compiled
def _carry_all(
    rows: Rows,
    beliefs: Beliefs,
    gap: tuple[FloatArray, FloatArray],
    marks: tuple[BoolArray, FloatArray],
    odds: Odds,
) -> None:
    years, warped = gap
    sound, z = marks
    for i in range(z.size):
        if not sound[i]:
            continue
        own = _own(beliefs, i)
        step = years[i], warped[i], rows.jump[0, i]
        _pass(own, step, own.walk[HAZARD], odds.axes)
        share, z[i] = _take(own, _reading(rows, 0, i, -1.0, odds.axes), odds)
        sound[i] = share >= SUSPECT_BELOW


@inlined
def _pass(
    own: Beliefs, gap: tuple[float, float, float], hazard: float, axes: int
) -> None:
    years, warped, jump = gap
    mix(own.state, own.table, -math.expm1(-hazard * years), axes)
    advance(own.state, own.walk, warped, jump)


@inlined
def _take(own: Beliefs, reading: Reading, odds: Odds) -> tuple[float, float]:
    """Take in a reading; return soundness and z."""
    judge = Odds(odds.axes, odds.outlier_share, odds.outlier_ratio, own.walk[NOISE_DF])
    return read(own.state, own.sums, own.seen, reading, judge)


@inlined
def _reading(rows: Rows, row: int, i: int, least: float, axes: int) -> Reading:
    return Reading(
        rows.y[0, row, i],
        rows.y[1, row, i] if axes > 1 else 0.0,
        rows.variance[row, i],
        rows.relation[row, i] if rows.relation.size else 0,
        row - rows.begin[i],
        least,
    )


def spread_factor(track: Track, prior: Prior) -> FloatArray:
    """Return found / assumed noise variance of each series, moderated by the fleet.

    (d0 + sum of squares) / (d0 + count), after Smyth 2004 (from memory).
    """
    excess = track.surprise - track.counted
    return np.asarray(1.0 + excess / (prior.noise_df + track.counted))


def moved(track: Track, prior: Prior, chance: FloatArray, warped: FloatArray) -> Track:
    """Return the state after some warped time [yr]; the given one is left as it is.

    Parameters
    ----------
    chance : that the slope is drawn anew on the way
    """
    later = Track(track.state.copy(), track.sums, track.axes)
    _move_all(later.state, (prior.table, prior.walk), chance, warped, track.axes)
    return later


@compiled
def _move_all(
    state: FloatArray,
    prior: tuple[FloatArray, FloatArray],
    chance: FloatArray,
    warped: FloatArray,
    axes: int,
) -> None:
    table, walk = prior
    for i in range(chance.size):
        mix(state[i], table[i], chance[i], axes)
        advance(state[i], walk[i], warped[i], 0.0)
