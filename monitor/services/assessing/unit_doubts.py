"""Series whose numbers look as if they had been written in another unit.

Nothing recorded is changed. A doubted series is given no reassuring answer until
someone has looked at its unit; an alarm is never silenced by a doubt.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from datetime import date

import numpy as np

from monitor import trends
from monitor.services.assessing.series import SeriesTable
from monitor.trends.doubted import UsualLevel, doubted_units

REPEAT_WITHIN_YEARS = 0.25
BELIEVED = 0.5
"""Chance of being beyond the act limit from which an alarm stands."""


@dataclass(frozen=True, slots=True)
class UnitDoubt:
    """What is odd about the unit of a series.

    Attributes
    ----------
    words : a clause that names what looks wrong
    is_of_all : the whole series or its baseline is in doubt, so every conclusion is
    """

    words: str
    is_of_all: bool


def unit_doubts(
    table: SeriesTable,
    readings: trends.Readings,
    series: trends.Series,
    usual: Mapping[int, UsualLevel],
) -> dict[int, UnitDoubt]:
    """Return what is odd about a unit, by the number of the series in the table.

    Parameters
    ----------
    usual : levels of the whole fleet, by group
    """
    doubts = doubted_units(readings, series, usual)
    found = {
        n: UnitDoubt(
            f"its readings look {_times(doubts.series[n])} for their kind: were they "
            "written in another unit?",
            is_of_all=True,
        )
        for n in np.flatnonzero(doubts.series != 1.0).tolist()
    }
    for row in np.flatnonzero(doubts.reading != 1.0).tolist():
        n = int(readings.series[row])
        found.setdefault(n, _of_reading(table, n, row, float(doubts.reading[row])))
    return found


def heeding(said: trends.Outlook, doubt: UnitDoubt | None) -> trends.Outlook:
    """Return the outlook with what a doubted unit leaves of it.

    Levels, rates and dates go, and a look is wanted soon; unless the act limit is
    believed to be passed, for a true loss may look like a wrong unit.
    """
    if doubt is None or not doubt.is_of_all or said.act_beyond >= BELIEVED:
        return said
    nothing: dict[str, object] = {}
    for name in _BLANKED:
        value = getattr(said, name)
        is_row = isinstance(value, tuple)
        nothing[name] = (np.nan,) * len(value) if is_row else np.nan
    return replace(
        said,
        refusal=int(trends.Refusal.UNIT_DOUBTED),
        newest_unconfirmed=True,
        look_years=min(said.look_years, REPEAT_WITHIN_YEARS),
        look_rule=int(trends.LookRule.UNCONFIRMED),
        **nothing,  # type: ignore[arg-type]  # field by field, as they were
    )


def _of_reading(table: SeriesTable, n: int, row: int, factor: float) -> UnitDoubt:
    one = table.series[n]
    reading = table.readings.iloc[row]
    on: date = reading["inspected_on"]
    first: date = table.readings.iloc[one.rows.start]["inspected_on"]
    typed = "" if one.is_vector else f", typed “{reading['given']}”,"
    return UnitDoubt(
        f"the reading of {on:%-d %B %Y}{typed} looks {_times(factor)} beside its "
        "neighbours: was it written in another unit?",
        is_of_all=on == first,
    )


def _times(factor: float) -> str:
    """How far off, such as “10 times too small”."""
    size = max(factor, 1.0 / factor)
    return f"{size:.4g} times too {'large' if factor > 1.0 else 'small'}"


_KEPT = frozenset(
    {
        "refusal", "readings", "first_years", "last_years", "evidence_word",
        "newest_unconfirmed", "look_years", "look_rule", "version",
    }
)  # fmt: skip
_BLANKED = tuple(f.name for f in fields(trends.Outlook) if f.name not in _KEPT)
