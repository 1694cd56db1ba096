"""Blocks: some thousand series side by side, time downwards, newest reading last.

Inside a block values count from the first reading and point the harmful way, so the
filter needs no signs. Rows above a shorter series are padding: no time passes there
and the noise is so large that nothing is learnt.
"""

from copy import copy
from dataclasses import dataclass, fields
from typing import Final

import numpy as np

from monitor.trends.codes import BoolArray, FloatArray, IntArray
from monitor.trends.days import Days
from monitor.trends.hyper import Hyper
from monitor.trends.readings import Readings, Series

PADDING_VARIANCE: Final = 1e30
BLOCK_SIZE: Final = 8192
_FAR_CENSORED_SDS: Final = 4.0


@dataclass(frozen=True, slots=True)
class Block:
    """Series of one law set and one number of axes, padded in front to one length.

    Parameters
    ----------
    rows : index of each column's series
    t : time of the readings [yr], shape (T, N)
    y : readings, centred and turned harmful upwards [unit], shape (A, T, N)
    variance : noise variance [unit^2], shape (T, N)
    jump : variance added to the level before a reading: change of instrument
    relation : -1, 0, +1 in the turned sense, or None where nothing is censored
    middle, middle_variance : a plain reading that stands for a censored one
    valid : which cells hold a reading
    begin : row of the first reading, shape (N,)
    base : first reading, turned [unit], shape (A, N)
    sign : +1, or -1 where the reading was turned over
    noise : sd of the first reading, the yardstick of the noise ratios [unit]
    scale : usual distance from baseline to the act limit [unit]
    resolution : smallest step of the scale [unit], shape (N,)
    source : index into the merged readings, shape (T, N), meaningless in padding
    """

    rows: IntArray
    t: FloatArray
    y: FloatArray
    variance: FloatArray
    jump: FloatArray
    relation: IntArray | None
    middle: FloatArray
    middle_variance: FloatArray
    valid: BoolArray
    begin: IntArray
    base: FloatArray
    sign: FloatArray
    noise: FloatArray
    scale: FloatArray
    resolution: FloatArray
    source: IntArray

    def columns(self, chosen: IntArray) -> "Block":
        """Return the chosen columns as a block of their own."""
        part = copy(self)
        for name in (f.name for f in fields(self)):
            values = getattr(self, name)
            if values is not None:
                object.__setattr__(part, name, np.take(values, chosen, axis=-1))
        return part


@dataclass(frozen=True, slots=True)
class Fleet:
    """Merged readings, their series and where each series begins and ends."""

    days: Days
    series: Series
    begin: IntArray
    count: IntArray
    hyper: Hyper


def batches(fleet: Fleet, usable: BoolArray) -> list[IntArray]:
    """Return series indices in blocks of like law set, axes and number of readings."""
    index = np.flatnonzero(usable)
    if not index.size:
        return []
    kind = _kinds(fleet, index)
    by_length = np.lexsort((fleet.count[index], kind))
    order, kind = index[by_length], kind[by_length]
    parts = np.split(order, np.flatnonzero(np.diff(kind)) + 1)
    return [
        part[at : at + BLOCK_SIZE]
        for part in parts
        for at in range(0, part.size, BLOCK_SIZE)
    ]


def _kinds(fleet: Fleet, index: IntArray) -> IntArray:
    """Return a code for each series: axes and the laws its group gives a share."""
    series = fleet.series
    codes, inverse = np.unique(series.group[index], return_inverse=True)
    laws = [sum(1 << law for law in fleet.hyper.of(int(c)).laws) for c in codes]
    pooled = np.array(laws, dtype=np.int64)[inverse]
    whole = (series.law_set[index] << 8) + pooled
    return np.asarray(whole * 2 + series.is_vector[index], dtype=np.int64)


def pack(fleet: Fleet, rows: IntArray) -> Block:
    """Return the block of the given series."""
    readings, series = fleet.days.readings, fleet.series.take(rows)
    count = fleet.count[rows]
    source, valid = _cells(fleet.begin[rows], count)
    sign = np.where(series.is_vector | (series.direction == 0), 1, series.direction)
    sign = sign.astype(np.float64)
    y = _values(readings, series, source)
    noise = _noise(fleet, rows)
    y -= season_swing(fleet, rows, readings.season[source]) * noise
    y *= sign
    variance, middle, middle_variance, relation = _censoring(
        fleet, series, (source, y, sign)
    )
    begin = source.shape[0] - count
    base = middle[:, begin, np.arange(rows.size)]
    variance, middle_variance = _with_spread(
        fleet, rows, (variance, middle_variance, valid, noise)
    )
    return Block(
        rows=rows,
        t=readings.t_years[source],
        y=y - base[:, None],
        variance=variance,
        jump=_jumps(readings, source, valid),
        relation=relation,
        middle=middle - base[:, None],
        middle_variance=middle_variance,
        valid=valid,
        begin=begin,
        base=base,
        sign=sign,
        noise=noise,
        resolution=readings.resolution[source[-1]],
        scale=_scale(series, base[0] * sign, noise),
        source=source,
    )


def per_series(fleet: Fleet, rows: IntArray, name: str) -> FloatArray:
    """Return one fleet number of each series' group, shape (N,)."""
    groups = fleet.series.group[rows]
    codes, inverse = np.unique(groups, return_inverse=True)
    values = [getattr(fleet.hyper.of(int(code)), name) for code in codes]
    return np.asarray(np.array(values, dtype=np.float64)[inverse])


def season_swing(fleet: Fleet, rows: IntArray, season: FloatArray) -> FloatArray:
    """Return the shared seasonal swing in units of noise, in the reading's sense."""
    cos, sin = (per_series(fleet, rows, f"season_{part}") for part in ("cos", "sin"))
    if not np.any(cos) and not np.any(sin):
        return np.zeros(1)
    angle = 2.0 * np.pi * season
    return np.asarray(cos * np.cos(angle) + sin * np.sin(angle))


def _cells(begin: IntArray, count: IntArray) -> tuple[IntArray, BoolArray]:
    longest = int(count.max())
    source = (begin + count - longest) + np.arange(longest)[:, None]
    valid = source >= begin
    return np.maximum(source, begin), valid


def _values(readings: Readings, series: Series, source: IntArray) -> FloatArray:
    if not np.any(series.is_vector):
        return readings.value[source][None]
    return np.stack((readings.value[source], readings.value_y[source]))


def _noise(fleet: Fleet, rows: IntArray) -> FloatArray:
    return np.asarray(np.sqrt(fleet.days.variance[fleet.begin[rows]]))


def _censoring(
    fleet: Fleet, series: Series, cells: tuple[IntArray, FloatArray, FloatArray]
) -> tuple[FloatArray, FloatArray, FloatArray, IntArray | None]:
    """Return variance, plain stand-ins, their variance, and the turned relation.

    "Less than c" stands for anything between the floor and c, so its plain stand-in
    is the middle with the variance of the interval. The first reading of a series is
    always taken as its stand-in.
    """
    source, y, sign = cells
    variance = fleet.days.variance[source]
    relation = fleet.days.readings.relation[source]
    if not np.any(relation) or np.any(series.is_vector):
        return variance, y, variance, None
    far = _FAR_CENSORED_SDS * np.sqrt(variance)
    raw = y[0] * sign
    low = np.where(np.isfinite(series.floor), series.floor, raw - far)
    high = np.where(np.isfinite(series.ceiling), series.ceiling, raw + far)
    other = np.where(relation < 0, np.minimum(low, raw), np.maximum(high, raw))
    is_open = relation != 0
    middle = np.where(is_open, (raw + other) / 2.0, raw) * sign
    spread = variance + np.where(is_open, (raw - other) ** 2 / 12.0, 0.0)
    first = source == fleet.begin[fleet.days.readings.series[source]]
    y[0] = np.where(first, middle, y[0])
    turned = np.where(first, 0, relation * sign.astype(np.int64))
    return np.where(first, spread, variance), middle[None], spread, turned


def _with_spread(
    fleet: Fleet,
    rows: IntArray,
    cells: tuple[FloatArray, FloatArray, BoolArray, FloatArray],
) -> tuple[FloatArray, FloatArray]:
    variance, middle_variance, valid, noise = cells
    factor = per_series(fleet, rows, "noise") ** 2
    spread = (per_series(fleet, rows, "season_spread") * noise) ** 2
    whole = np.where(valid, variance * factor + spread, PADDING_VARIANCE)
    if middle_variance is variance:
        return whole, whole
    plain = np.where(valid, middle_variance * factor + spread, PADDING_VARIANCE)
    return whole, plain


def _jumps(readings: Readings, source: IntArray, valid: BoolArray) -> FloatArray:
    """Return the variance of the offset that a change of instrument brings."""
    jump = np.zeros(source.shape)
    code = readings.instrument[source]
    changed = valid.copy()
    changed[1:] &= valid[:-1] & (np.diff(code, axis=0) != 0)
    changed[0] = False
    if np.any(changed):
        both = readings.sd_instrument[source] ** 2
        both[1:] += readings.sd_instrument[source[:-1]] ** 2
        jump[changed] = both[changed]
    return jump


def _scale(series: Series, first: FloatArray, noise: FloatArray) -> FloatArray:
    """Return the usual distance to the act limit, never below six sds of noise."""
    limit = np.where(np.isnan(series.act), series.watch, series.act)
    radius = series.is_vector | (series.direction == 0)
    distance = np.where(radius, np.abs(limit), np.abs(limit - first))
    scale = np.where(np.isnan(series.scale), distance, series.scale)
    scale = np.where(np.isfinite(scale), scale, 30.0 * noise)
    return np.asarray(np.maximum(scale, 6.0 * noise))
