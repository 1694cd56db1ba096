"""How a level spreads into the years ahead: the same analysis, asked for later days.

All series, both axes of the tilt ones apart, and all days ahead are asked for at once.
"""

from dataclasses import dataclass, fields, replace
from datetime import date
from typing import TypeVar

import numpy as np

from monitor import trends
from monitor.services.assessing.arrays import Floats, later

AHEAD_YEARS = np.array([0, 0.5, 1, 2, 3, 5, 7, 10, 15, 20, 25, 30], dtype=np.float64)
BLOCK = 2000
Fan = list[tuple[str, float, float, float]]
"""Date, 5 %, half and 95 % of the level."""

T = TypeVar("T", trends.Readings, trends.Series)


@dataclass(frozen=True, slots=True)
class Fans:
    """The fans of one series; those of the axes are empty unless it is a vector."""

    level: Fan
    x: Fan
    y: Fan


def fans_of(
    readings: trends.Readings,
    series: trends.Series,
    todays: list[date],
    hyper: trends.Hyper,
) -> list[Fans]:
    """Return the fan of every series, 30 years ahead from today at its site."""
    vectors = np.flatnonzero(series.is_vector)
    for component in ("value", "value_y"):
        axis = _axis(readings, series, vectors, component)
        readings, series = _joined((readings, axis[0]), (series, axis[1]))
    blocks = [
        _levels_ahead(
            readings,
            series,
            np.arange(start, min(start + BLOCK, len(series))),
            hyper,
        )
        for start in range(0, len(series), BLOCK)
    ]
    levels = np.concatenate(blocks, axis=2)
    count, places = len(todays), {int(n): place for place, n in enumerate(vectors)}
    found = []
    for n, today in enumerate(todays):
        rows = [n]
        if n in places:
            rows += [count + places[n], count + len(vectors) + places[n]]
        drawn = [_fan(levels[:, :, row], today) for row in rows]
        found.append(Fans(*drawn, *([[]] * (3 - len(drawn)))))
    return found


def _axis(
    readings: trends.Readings,
    series: trends.Series,
    vectors: np.ndarray[tuple[int], np.dtype[np.int64]],
    component: str,
) -> tuple[trends.Readings, trends.Series]:
    """One axis of the vector series, as scalars without limits."""
    only = _taken(readings, series, vectors)
    nothing = np.full(len(vectors), np.nan)
    scalars = replace(
        only[1],
        is_vector=np.zeros(len(vectors), dtype=np.bool_),
        direction=np.ones(len(vectors), dtype=np.int64),
        watch=nothing,
        act=nothing,
        centre=nothing,
        centre_y=nothing,
    )
    values = getattr(only[0], component)
    return replace(only[0], value=values, value_y=np.full_like(values, np.nan)), scalars


def _levels_ahead(
    readings: trends.Readings,
    series: trends.Series,
    rows: np.ndarray[tuple[int], np.dtype[np.int64]],
    hyper: trends.Hyper,
) -> np.ndarray[tuple[int, int, int], np.dtype[np.float64]]:
    """Levels of some series, shape (days ahead, 3, rows)."""
    some_readings, some = _taken(readings, series, rows)
    moved = [
        replace(
            some,
            now_years=some.now_years + ahead,
            season_now=(some.season_now + ahead) % 1.0,
        )
        for ahead in AHEAD_YEARS
    ]
    again = _joined((some_readings,) * len(moved), tuple(moved))
    level = trends.outlooks(*again, hyper, threads=1).level
    return level.reshape(3, len(moved), len(rows)).transpose(1, 0, 2)


def _taken(
    readings: trends.Readings,
    series: trends.Series,
    rows: np.ndarray[tuple[int], np.dtype[np.int64]],
) -> tuple[trends.Readings, trends.Series]:
    """Some series and their readings, numbered anew."""
    place = np.full(len(series), -1, dtype=np.int64)
    place[rows] = np.arange(len(rows))
    kept = readings.take(place[readings.series] >= 0)
    chosen = trends.Series(
        **{f.name: getattr(series, f.name)[rows] for f in fields(series)}
    )
    return replace(kept, series=place[kept.series]), chosen


def _joined(
    readings: tuple[trends.Readings, ...], series: tuple[trends.Series, ...]
) -> tuple[trends.Readings, trends.Series]:
    """Several fleets one after the other, their series numbered on."""
    starts = np.cumsum([0, *(len(part) for part in series)])
    numbered = [
        replace(part, series=part.series + start)
        for part, start in zip(readings, starts[:-1], strict=True)
    ]
    return _stacked(numbered), _stacked(list(series))


def _stacked(parts: list[T]) -> T:
    names = [f.name for f in fields(parts[0])]
    columns = {n: np.concatenate([getattr(p, n) for p in parts]) for n in names}
    return type(parts[0])(**columns)


def _fan(levels: Floats, today: date) -> Fan:
    return [
        (later(today, ahead).isoformat(), float(low), float(middle), float(high))
        for ahead, (low, middle, high) in zip(AHEAD_YEARS, levels, strict=True)
        if np.isfinite((low, middle, high)).all()
    ]
