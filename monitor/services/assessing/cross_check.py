"""The plain methods beside each outlook, as numbers that are stored with it."""

from dataclasses import replace

import numpy as np

from monitor import trends
from monitor.trends.plain_checks import PlainChecks, plain_checks

Check = dict[str, float | int | list[float] | None]


def cross_checks(readings: trends.Readings, series: trends.Series) -> list[list[Check]]:
    """Return the plain checks of each series: one, or one for each axis of a vector.

    Returns
    -------
    list : by series, of checks with `readings` (days), `sen` and `line` (lower end,
        slope, upper end [unit/yr]) and `p`; the last three are None where they can
        not say
    """
    n = len(series)
    by_axis = [plain_checks(readings, n)]
    if np.any(series.is_vector):
        by_axis.append(plain_checks(replace(readings, value=readings.value_y), n))
    return [
        [_stored(checks, i) for checks in by_axis[: 1 + int(series.is_vector[i])]]
        for i in range(n)
    ]


def _stored(checks: PlainChecks, i: int) -> Check:
    return {
        "readings": int(checks.readings[i]),
        "sen": _numbers(checks.sen_low[i], checks.sen[i], checks.sen_high[i]),
        "line": _numbers(checks.line_low[i], checks.line[i], checks.line_high[i]),
        "p": float(checks.p[i]) if np.isfinite(checks.p[i]) else None,
    }


def _numbers(*values: float) -> list[float] | None:
    return [float(v) for v in values] if np.all(np.isfinite(values)) else None
