"""New readings one at a time: touch their own series, give the full answer.

A series whose readings all fit is carried on by one step of the filter. A series with
a doubtful reading is judged as a whole again, because doubt looks back. Both give what
a recomputation from all readings gives.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from monitor.errors import InvalidInput
from monitor.trends.arrival import Before, Row, Scale, arrived
from monitor.trends.assemble import BlockOutlook, answer
from monitor.trends.block import Block, Fleet, batches, pack, per_series
from monitor.trends.codes import BoolArray, FloatArray, IntArray, Law, Refusal
from monitor.trends.days import merge_days
from monitor.trends.filter import Run, carry_on
from monitor.trends.filtered import Filtered, filter_block, law_shares
from monitor.trends.hyper import DEFAULT, Hyper
from monitor.trends.outlook import THREADS, Outlooks, gather, in_threads
from monitor.trends.readings import Readings, Series, bounds, refusals

_LEAST_ALIVE: Final = 0.5


@dataclass(slots=True)
class _Part:
    """A filtered block, the instruments last used, and rows added since.

    A series that is judged anew leaves its column behind, no longer alive.
    """

    filtered: Filtered
    scale: Scale
    instrument: IntArray
    sd_instrument: FloatArray
    alive: BoolArray
    added: list[tuple[Block, dict[Law, FloatArray]]] = field(default_factory=list)


@dataclass(slots=True)
class Following:
    """A fleet under way: what the filter knows, and all readings so far.

    Parameters
    ----------
    series : what is known of each series
    hyper : the shared numbers, which stay fixed while a fleet is followed
    chunks : readings in the order they came
    parts : filtered blocks
    stale : series to be judged anew before they are asked about
    """

    series: Series
    hyper: Hyper
    chunks: list[Readings]
    parts: list[_Part]
    stale: BoolArray

    def readings(self) -> Readings:
        """Return all readings so far, sorted by series and time."""
        if len(self.chunks) > 1:
            self.chunks = [_sorted(self.chunks)]
        return self.chunks[0]


def follow(
    readings: Readings,
    series: Series,
    hyper: Hyper = DEFAULT,
    *,
    threads: int = THREADS,
) -> Following:
    """Return the fleet filtered up to its newest readings."""
    bounds(readings, series)
    fleet, usable = _fleet(readings, series, hyper)
    rows = batches(fleet, usable)
    pairs = in_threads(lambda index: _parts(fleet, index), rows, threads)
    parts = [part for pair in pairs for part in pair]
    stale = np.zeros(len(series), dtype=np.bool_)
    return Following(series, hyper, [readings], parts, stale)


def append(following: Following, new: Readings, *, threads: int = THREADS) -> None:
    """Take in at most one new reading for each series.

    Series that one step can not carry on become stale; `settle` judges them anew.

    Raises
    ------
    InvalidInput
        if a series gets two readings at once or one older than those it has
    """
    n = len(following.series)
    bounds(new, following.series)
    if np.any(np.diff(new.series) == 0):
        message = "A series got two readings at once; append them one by one."
        raise InvalidInput(message, field="series")
    where = np.full(n, -1, dtype=np.int64)
    where[new.series] = np.arange(len(new))
    in_threads(lambda part: _refuse_older(part, new, where), following.parts, 1)
    steps = in_threads(
        lambda part: _grow(following, part, (new, where)), following.parts, threads
    )
    following.chunks.append(new)
    following.stale[new.series] = True
    following.parts = [part for parts in steps for part in parts]
    for part in following.parts:
        following.stale[part.filtered.block.rows[part.alive]] = False


def settle(following: Following) -> IntArray:
    """Judge stale series anew from all their readings; return which they were."""
    rows = np.flatnonzero(following.stale)
    if not rows.size:
        return rows
    fleet, usable = _fleet(
        _readings_of(following, rows), following.series, following.hyper
    )
    for index in batches(fleet, usable & following.stale):
        following.parts += _parts(fleet, index)
    following.stale[:] = False
    return rows


def outlooks_of(following: Following, *, threads: int = THREADS) -> Outlooks:
    """Return the outlooks of the fleet as it stands."""
    settle(following)
    readings, series = following.readings(), following.series
    code = refusals(readings, series)
    fleet, usable = _fleet(readings, series, following.hyper)
    done = in_threads(lambda part: _answer(fleet, part), following.parts, threads)
    return gather(fleet, code, done, (readings, usable))


def _fleet(readings: Readings, series: Series, hyper: Hyper) -> tuple[Fleet, BoolArray]:
    code = refusals(readings, series)
    usable = (code == Refusal.NONE) | (code == Refusal.LIMIT_MISSING)
    days = merge_days(readings.take(usable[readings.series]))
    begin, count = bounds(days.readings, series)
    return Fleet(days, series, begin, count, hyper), usable


def _readings_of(following: Following, rows: IntArray) -> Readings:
    """Return the readings of a few series, sorted by series and time."""
    found = []
    for chunk in following.chunks:
        first = np.searchsorted(chunk.series, rows)
        last = np.searchsorted(chunk.series, rows, side="right")
        ranges = [np.arange(i, j) for i, j in zip(first, last, strict=True)]
        found.append(chunk.take(np.concatenate(ranges)))
    return _sorted(found)


def _sorted(chunks: list[Readings]) -> Readings:
    names = Readings.__slots__
    whole = Readings(*(np.concatenate([getattr(c, n) for c in chunks]) for n in names))
    return whole.take(np.lexsort((whole.t_years, whole.series)))


def _parts(fleet: Fleet, rows: IntArray) -> list[_Part]:
    """Return the series one step can carry on, and those to be judged as a whole."""
    whole = _part(fleet, rows)
    suspect = whole.filtered.suspect
    halves = [np.flatnonzero(~suspect), np.flatnonzero(suspect)]
    if not all(half.size for half in halves):
        return [whole]
    return [_columns(whole, half) for half in halves]


def _part(fleet: Fleet, rows: IntArray) -> _Part:
    block = pack(fleet, rows)
    last = block.source[-1]
    readings = fleet.days.readings
    scale = Scale(
        per_series(fleet, rows, "noise") ** 2,
        (per_series(fleet, rows, "season_spread") * block.noise) ** 2,
        per_series(fleet, rows, "season_cos") * block.noise,
        per_series(fleet, rows, "season_sin") * block.noise,
    )
    return _Part(
        filter_block(fleet, block),
        scale,
        readings.instrument[last],
        readings.sd_instrument[last],
        np.ones(rows.size, dtype=np.bool_),
    )


def _refuse_older(part: _Part, new: Readings, where: IntArray) -> None:
    at = where[part.filtered.block.rows]
    touched = part.alive & (at >= 0)
    gap = new.t_years[np.maximum(at, 0)] - _last_time(part)
    if np.any(touched & (gap < 0.0)):
        message = "A new reading is older than the newest of its series; recompute."
        raise InvalidInput(message, field="t_years")


def _grow(
    following: Following, part: _Part, given: tuple[Readings, IntArray]
) -> list[_Part]:
    """Return the part or parts after the new readings."""
    new, where = given
    at = where[part.filtered.block.rows]
    touched = at >= 0
    if not np.any(touched & part.alive):
        return [part]
    parts = []
    if np.any(part.alive & ~touched):
        parts.append(_columns(part, np.flatnonzero(part.alive & ~touched)))
        part = _columns(part, np.flatnonzero(part.alive & touched))
        at = where[part.filtered.block.rows]
    elif np.mean(part.alive) < _LEAST_ALIVE:
        part = _columns(part, np.flatnonzero(part.alive))
        at = where[part.filtered.block.rows]
    _step(following, part, (new, np.maximum(at, 0)))
    return [*parts, part] if np.any(part.alive) else parts


def _last_time(part: _Part) -> FloatArray:
    block = part.added[-1][0] if part.added else part.filtered.block
    return np.asarray(block.t[-1])


def _columns(part: _Part, chosen: IntArray) -> _Part:
    """Return the chosen columns of a part as a part of their own."""
    whole = _whole(part)
    runs = {law: _run_columns(done, chosen) for law, done in whole.runs.items()}
    filtered = Filtered(
        whole.block.columns(chosen),
        whole.prior.columns(chosen),
        runs,
        {law: share[chosen] for law, share in whole.shares.items()},
        whole.suspect[chosen],
        whole.gross_share,
    )
    used = part.instrument[chosen], part.sd_instrument[chosen]
    return _Part(filtered, part.scale.columns(chosen), *used, part.alive[chosen])


def _run_columns(done: Run, chosen: IntArray) -> Run:
    return Run(
        done.track.columns(chosen),
        done.weights[:, chosen],
        done.z[:, chosen],
        done.suspect[chosen],
        done.newest.columns(chosen),
    )


def _step(following: Following, part: _Part, given: tuple[Readings, IntArray]) -> None:
    """Carry every series of a part on by one reading; doubted ones do not survive."""
    filtered = part.filtered
    before = Before(
        _last_time(part),
        part.instrument,
        part.sd_instrument,
        filtered.block.t.shape[0] + len(part.added) - filtered.block.begin,
        filtered.suspect,
    )
    new = arrived(filtered.block, part.scale, before, given)
    row, errors = _row(part, new, before.past), {}
    alive = part.alive & new.goes_on
    part.alive = alive.copy()
    for law, done in filtered.runs.items():
        sound, errors[law] = carry_on(
            done, row, filtered.prior, following.hyper, (law, before.t, alive)
        )
        part.alive &= sound
    part.added.append((row, errors))
    part.instrument, part.sd_instrument = new.instrument, new.sd_instrument


def _row(part: _Part, new: Row, past: IntArray) -> Block:
    """Return the new readings as one row below the block."""
    y, variance = new.y[:, None], new.variance[None]
    return replace(
        part.filtered.block,
        t=new.t[None],
        y=y,
        variance=variance,
        jump=new.jump[None],
        relation=None,
        middle=y,
        middle_variance=variance,
        valid=np.ones(variance.shape, dtype=np.bool_),
        begin=-past,
        source=np.zeros(variance.shape, dtype=np.int64),
    )


def _whole(part: _Part) -> Filtered:
    """Return the filtered block with the added rows below it."""
    filtered = part.filtered
    if not part.added:
        return filtered
    added = [row for row, _ in part.added]
    part.filtered = replace(
        filtered,
        block=_stacked([filtered.block, *added]),
        runs={law: _longer(run, part, law) for law, run in filtered.runs.items()},
    )
    part.added = []
    return part.filtered


def _longer(done: Run, part: _Part, law: Law) -> Run:
    errors = [made[law][None] for _, made in part.added]
    ones = np.ones((len(errors), done.weights.shape[1]))
    return replace(
        done,
        weights=np.concatenate([done.weights, ones]),
        z=np.concatenate([done.z, *errors]),
    )


def _stacked(blocks: list[Block]) -> Block:
    def rows(get: Callable[[Block], FloatArray], axis: int = 0) -> FloatArray:
        return np.concatenate([get(block) for block in blocks], axis=axis)

    first = blocks[0]
    relation = None
    if first.relation is not None:
        zeros = [np.zeros(block.t.shape, dtype=np.int64) for block in blocks[1:]]
        relation = np.concatenate([first.relation, *zeros])
    y = rows(lambda b: b.y, 1)
    return replace(
        first,
        t=rows(lambda b: b.t),
        y=y,
        variance=rows(lambda b: b.variance),
        jump=rows(lambda b: b.jump),
        relation=relation,
        middle=rows(lambda b: b.middle, 1),
        middle_variance=rows(lambda b: b.middle_variance),
        valid=np.concatenate([block.valid for block in blocks]),
        source=np.concatenate([block.source for block in blocks]),
    )


def _answer(fleet: Fleet, part: _Part) -> BlockOutlook:
    if not np.all(part.alive):
        part = _columns(part, np.flatnonzero(part.alive))
    filtered = _whole(part)
    block = filtered.block
    steps = block.t.shape[0]
    source = fleet.begin[block.rows] - block.begin + np.arange(steps)[:, None]
    block = replace(block, source=np.maximum(source, fleet.begin[block.rows]))
    shares = law_shares(fleet, block, filtered.runs)
    filtered = replace(filtered, block=block, shares=shares)
    return answer(filtered, fleet.series.take(block.rows), fleet.hyper)
