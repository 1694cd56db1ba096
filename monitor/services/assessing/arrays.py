"""Series and readings as the arrays that the analysis wants."""

from collections.abc import Callable
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from monitor import trends
from monitor.domain.quantities import SERIES
from monitor.domain.vocabulary import Harm, MemberKind
from monitor.services.assessing.series import OneSeries, SeriesTable

DAYS_PER_YEAR = 365.25
DIRECTIONS = {Harm.UP: 1, Harm.DOWN: -1, Harm.NONE: 1, Harm.BOTH: 0, Harm.AWAY: 0}
GROUPS = tuple((name, kind) for name in SERIES for kind in MemberKind)
"""Series that share their numbers: what is read, on which kind of member."""

_RELATIONS = {"<": -1, "=": 0, ">": 1}
Floats = NDArray[np.float64]


def readings_arrays(table: SeriesTable) -> trends.Readings:
    """The readings of a table as the analysis wants them."""
    frame = table.readings
    origins = np.array([one.starts_on for one in table.series], dtype="datetime64[D]")
    index = frame["index"].to_numpy(dtype=np.int64)
    on = frame["inspected_on"].to_numpy(dtype="datetime64[D]")
    codes = {key: n for n, key in enumerate(frame["instrument_id"].unique())}
    return trends.Readings(
        series=index,
        t_years=_years(on - origins[index]),
        value=frame["value"].to_numpy(dtype=np.float64),
        value_y=frame["value_y"].to_numpy(dtype=np.float64),
        sd_instrument=frame["sd_instrument"].to_numpy(dtype=np.float64),
        sd_placement=frame["sd_placement"].to_numpy(dtype=np.float64),
        resolution=frame["resolution"].to_numpy(dtype=np.float64),
        relation=np.array([_RELATIONS[r] for r in frame["relation"]], dtype=np.int64),
        instrument=np.array([codes[i] for i in frame["instrument_id"]], dtype=np.int64),
        season=_season(on),
    )


def series_arrays(
    series: list[OneSeries], todays: list[date], longest_years: Floats
) -> trends.Series:
    """What is known of each series beside its readings.

    Parameters
    ----------
    todays : today at the site of each series
    longest_years : how long the duty-holder lets it go without a look [yr]
    """
    today = np.array(todays, dtype="datetime64[D]")
    origins = np.array([one.starts_on for one in series], dtype="datetime64[D]")
    nothing = np.full(len(series), np.nan)

    def numbers(ask: Callable[[OneSeries], float | None]) -> Floats:
        return np.array(
            [np.nan if (x := ask(one)) is None else x for one in series], dtype=float
        )

    return trends.Series(
        group=np.array([GROUPS.index((o.name, o.member.kind)) for o in series]),
        watch=numbers(lambda o: o.watch),
        act=numbers(lambda o: o.act),
        direction=np.array([DIRECTIONS[o.quantity.harm] for o in series]),
        is_vector=np.array([o.is_vector for o in series]),
        is_one_way=np.array([o.quantity.one_way for o in series]),
        floor=np.nan_to_num(numbers(lambda o: o.quantity.floor), nan=-np.inf),
        ceiling=np.nan_to_num(numbers(lambda o: o.quantity.ceiling), nan=np.inf),
        now_years=_years(today - origins),
        season_now=_season(today),
        law_set=np.array([trends.LawSet[o.quantity.law.upper()] for o in series]),
        scale=nothing,
        centre=numbers(lambda o: o.baseline[0] if o.baseline else None),
        centre_y=numbers(lambda o: o.baseline[1] if o.is_vector and o.baseline else 0),
        carried_rate=nothing,
        carried_rate_y=nothing,
        carried_sd=nothing,
        max_interval_years=longest_years,
        first_gap_years=np.array([o.quantity.first_gap_years for o in series]),
    )


def _years(span: NDArray[np.timedelta64]) -> Floats:
    return span.astype(np.float64) / DAYS_PER_YEAR


def _season(days: NDArray[np.datetime64]) -> Floats:
    """Fraction of the calendar year."""
    year = days.astype("datetime64[Y]").astype("datetime64[D]")
    return _years(days - year) % 1.0


def later(today: date, years: float) -> date:
    """The day that many years from today."""
    return today + timedelta(days=round(years * DAYS_PER_YEAR))
