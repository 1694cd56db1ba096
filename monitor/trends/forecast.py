"""Foretell readings that are already known, from those before them."""

from dataclasses import dataclass, fields, replace
from typing import Final, Self

import numpy as np
from scipy.special import ndtri

from monitor.trends.block import Fleet, batches, pack, season_swing
from monitor.trends.codes import BoolArray, FloatArray, IntArray, Refusal
from monitor.trends.crossing import Path
from monitor.trends.days import merge_days
from monitor.trends.filtered import Filtered, filter_block, next_noise, paths_today
from monitor.trends.hyper import Hyper
from monitor.trends.mixture import Mixture, stacked
from monitor.trends.readings import Readings, Series, bounds, refusals

_CLOSEST: Final = 1e-12


@dataclass(frozen=True, slots=True)
class Forecast:
    """Forecasts of known readings, one entry per series and axis.

    Parameters
    ----------
    series : index of the series
    value : the reading that was foretold, turned harmful upwards [unit]
    low, high : the 90 % forecast [unit]
    z : normal score of the reading under the forecast
    last_value : the reading before [unit]
    past_rate : change per year from the first reading to the one before [unit/yr]
    gap : years between the reading before and the one foretold [yr]
    noise : declared noise of the reading before [unit]
    """

    series: IntArray
    value: FloatArray
    low: FloatArray
    high: FloatArray
    z: FloatArray
    last_value: FloatArray
    past_rate: FloatArray
    gap: FloatArray
    noise: FloatArray

    def take(self, chosen: BoolArray) -> Self:
        """Return the chosen forecasts."""
        return type(self)(*(getattr(self, f.name)[chosen] for f in fields(self)))


def foretell(
    readings: Readings,
    series: Series,
    hyper: Hyper,
    cells: tuple[BoolArray, BoolArray],
) -> Forecast:
    """Return forecasts of some readings from others.

    Parameters
    ----------
    cells : which readings are known, and which one of each series is foretold
    """
    known, wanted = cells
    past, future = readings.take(known), readings.take(wanted)
    code = refusals(past, series)
    usable = (code == Refusal.NONE) | (code == Refusal.LIMIT_MISSING)
    usable &= np.isin(np.arange(len(series)), future.series)
    days = merge_days(past.take(usable[past.series]))
    begin, count = bounds(days.readings, series)
    fleet = Fleet(days, series, begin, count, hyper)
    parts = [_of_rows(fleet, rows, future) for rows in batches(fleet, usable)]
    if not parts:
        nothing = np.zeros(0)
        return Forecast(np.zeros(0, dtype=np.int64), *([nothing] * 8))
    names = [f.name for f in fields(Forecast)]
    return Forecast(*(np.concatenate([getattr(p, n) for p in parts]) for n in names))


def _of_rows(fleet: Fleet, rows: IntArray, future: Readings) -> Forecast:
    block = pack(fleet, rows)
    filtered = filter_block(fleet, block)
    new = future.take(np.searchsorted(future.series, rows))
    series = replace(
        fleet.series.take(rows), now_years=new.t_years, season_now=new.season
    )
    paths = paths_today(filtered, series)
    raw = np.stack((new.value, new.value_y))[: len(block.base)]
    raw = raw - season_swing(fleet, rows, new.season) * block.noise
    value = raw * block.sign - block.base
    axes = [_of_axis(filtered, paths, value, axis) for axis in range(len(value))]
    return Forecast(
        *(np.concatenate([getattr(a, f.name) for a in axes]) for f in fields(Forecast))
    )


def _of_axis(
    filtered: Filtered, paths: list[Path], value: FloatArray, axis: int
) -> Forecast:
    block = filtered.block
    noise = next_noise(filtered)
    mixture = reading_mixture(paths, noise, axis)
    chance = np.clip(mixture.chance_below(value[axis]), _CLOSEST, 1.0 - _CLOSEST)
    last = block.middle[axis, -1]
    age = block.t[-1] - block.t[block.begin, np.arange(last.size)]
    return Forecast(
        series=block.rows,
        value=value[axis],
        low=mixture.quantile(0.05),
        high=mixture.quantile(0.95),
        z=np.asarray(ndtri(chance)),
        last_value=last,
        past_rate=np.where(age > 0.0, last / np.where(age > 0.0, age, 1.0), 0.0),
        gap=paths[0].now - block.t[-1],
        noise=np.sqrt(block.variance[-1]),
    )


def reading_mixture(paths: list[Path], noise: FloatArray, axis: int) -> Mixture:
    """Return what a reading of one axis would be today, with noise [unit^2]."""
    parts = []
    for path in paths:
        sd = np.sqrt((path.track.pxx + noise) * path.stretch)
        parts.append(Mixture(path.track.x[axis], sd, path.track.weight))
    return stacked(parts, [path.share for path in paths])
