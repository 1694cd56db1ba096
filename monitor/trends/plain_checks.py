"""The plain methods on every series of a fleet, to hold our own answer against.

Readings of one day are one, as in our own analysis, and a logger's thousands become a
few hundred. Beyond that each reading is taken at face value.
"""

from dataclasses import dataclass, fields
from typing import Final

import numpy as np

from monitor.trends.codes import FloatArray, IntArray
from monitor.trends.days import merge_days
from monitor.trends.plain import least_squares
from monitor.trends.plain_ranks import mann_kendall, sen_slopes
from monitor.trends.readings import Readings

FEWEST: Final = 4
"""With three readings no order is rarer than one in six."""
CHANCE: Final = 0.9

_MOST_CELLS: Final = 4_000_000


@dataclass(frozen=True, slots=True)
class PlainChecks:
    """What the plain methods say of each series; NaN where they can not say.

    Attributes
    ----------
    readings : days with a reading
    sen_low, sen, sen_high : Theil-Sen slope with Sen's 90 % interval [unit/yr]
    line_low, line, line_high : least-squares slope with its 90 % interval [unit/yr]
    p : Mann and Kendall's two-sided chance if nothing moves, for one look
    """

    readings: IntArray
    sen_low: FloatArray
    sen: FloatArray
    sen_high: FloatArray
    line_low: FloatArray
    line: FloatArray
    line_high: FloatArray
    p: FloatArray


def plain_checks(readings: Readings, series_count: int) -> PlainChecks:
    """Return the plain checks of every series, of `value` alone.

    Parameters
    ----------
    readings : sorted by series; of a vector, ask for one component at a time
    series_count : number of series
    """
    finite = np.isfinite(readings.t_years) & np.isfinite(readings.value)
    kept = readings.take(finite)
    days = merge_days(kept.take(np.lexsort((kept.t_years, kept.series)))).readings
    count = np.bincount(days.series, minlength=series_count).astype(np.int64)
    first = np.cumsum(count) - count
    columns = {f.name: np.full(series_count, np.nan) for f in fields(PlainChecks)[1:]}
    for n in np.unique(count[count >= FEWEST]).tolist():
        rows = np.flatnonzero(count == n)
        for part in np.array_split(rows, 1 + rows.size * n * n // _MOST_CELLS):
            at = first[part, None] + np.arange(n)
            said = _said(days.t_years[at], days.value[at])
            for name, values in said.items():
                columns[name][part] = values
    return PlainChecks(readings=count, **columns)


def _said(t_years: FloatArray, value: FloatArray) -> dict[str, FloatArray]:
    sen = sen_slopes(t_years, value, CHANCE)
    line = least_squares(t_years, value)
    low, high = line.slope_interval(CHANCE)
    return {
        "sen_low": sen.low,
        "sen": sen.middle,
        "sen_high": sen.high,
        "line_low": low,
        "line": line.slope,
        "line_high": high,
        "p": mann_kendall(t_years, value).p,
    }
