"""One series at one mark as the support page draws it."""

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from monitor.domain.conclusions import Outlook
from monitor.domain.quantities import SERIES, SERIES_LABEL
from monitor.domain.supports import Mark, Member
from monitor.domain.vocabulary import Answer

DOUBTED_BELOW = 0.5
"""A reading whose robust weight is below this is drawn hollow."""


@dataclass(frozen=True, slots=True)
class SeriesView:
    """One series at one mark.

    Attributes
    ----------
    sign : what a larger number means
    points : columns on (date), value, sd [unit], doubted (bool), stretch (0, 1, ...
        by segment), relation, given, inspector; for tilt also x, y [mm/m], and value is
        the distance from the first position of the stretch
    misses : columns on, answer, reason: looked for, but no number
    starts_on : days from which the series starts anew
    outlook : None if it was never assessed
    """

    series: str
    label: str
    unit: str
    sign: str
    member: Member
    mark: Mark
    points: pd.DataFrame
    misses: pd.DataFrame
    starts_on: tuple[date, ...]
    outlook: Outlook | None

    @property
    def place(self) -> str:
        """Member and mark, as people say it."""
        return f"{self.member.code}, {self.mark.code}"


def series_view(
    rows: pd.DataFrame,
    starts_on: tuple[date, ...],
    place: tuple[str, Member, Mark],
    outlook: Outlook | None,
) -> SeriesView:
    """Shape the readings of one series.

    Parameters
    ----------
    rows : of `readings_frame`, one mark, the quantities of one series
    starts_on : segment starts, oldest first
    place : series, member, mark
    """
    series, member, mark = place
    parts = SERIES[series]
    is_measured = rows["answer"] == Answer.MEASURED.value
    measured = rows[is_measured].copy()
    measured["sd"] = np.sqrt(
        measured["sd_instrument"] ** 2
        + measured["sd_placement"] ** 2
        + measured["resolution"] ** 2 / 12
    )
    measured["stretch"] = [
        sum(start <= on for start in starts_on) for on in measured["inspected_on"]
    ]
    weights = _weights(outlook)
    measured["doubted"] = [
        weights.get(str(key), 1.0) < DOUBTED_BELOW for key in measured["reading_id"]
    ]
    points = _points(measured) if len(parts) == 1 else _vector_points(measured, series)
    return SeriesView(
        series=series,
        label=SERIES_LABEL[series],
        unit=parts[0].unit,
        sign=parts[0].sign if len(parts) == 1 else "away from the first position",
        member=member,
        mark=mark,
        points=points,
        misses=_misses(rows[~is_measured]),
        starts_on=starts_on,
        outlook=outlook,
    )


def stored_fan(
    outlook: Outlook | None, key: str
) -> list[tuple[date, float, float, float]]:
    """A stored fan, such as "fan" or "fan_x": dates with 5, 50 and 95 % levels."""
    if outlook is None:
        return []
    stored = outlook.details.get(key)
    if not isinstance(stored, list):
        return []
    return [
        (date.fromisoformat(on), float(low), float(mid), float(high))
        for on, low, mid, high in stored
    ]


_COLUMNS = {
    "inspected_on": "on",
    "value": "value",
    "sd": "sd",
    "doubted": "doubted",
    "stretch": "stretch",
    "relation": "relation",
    "given": "given",
    "inspector": "inspector",
}


def _points(measured: pd.DataFrame) -> pd.DataFrame:
    points = measured[list(_COLUMNS)].rename(columns=_COLUMNS)
    return points.sort_values("on", kind="stable").reset_index(drop=True)


def _vector_points(measured: pd.DataFrame, series: str) -> pd.DataFrame:
    """Both axes of one reading in one row; a reading with one axis only is left out."""
    x, y = (part.name for part in SERIES[series])
    keys = ["inspection_id", "repeat"]
    first = measured[measured["quantity"] == x]
    other = measured[measured["quantity"] == y][[*keys, "value", "doubted", "given"]]
    both = first.merge(other, on=keys, suffixes=("", "_y"))
    both["doubted"] = both["doubted"] | both["doubted_y"]
    both["given"] = both["given"] + " / " + both["given_y"]
    both = both.sort_values("inspected_on", kind="stable").reset_index(drop=True)
    points = both[list(_COLUMNS)].rename(columns=_COLUMNS)
    points["x"], points["y"] = both["value"], both["value_y"]
    firsts = points.groupby("stretch")[["x", "y"]].transform("first")
    points["value"] = np.hypot(points["x"] - firsts["x"], points["y"] - firsts["y"])
    return points


def _misses(rows: pd.DataFrame) -> pd.DataFrame:
    misses = rows[["inspected_on", "answer", "reason"]].drop_duplicates()
    return misses.rename(columns={"inspected_on": "on"}).reset_index(drop=True)


def _weights(outlook: Outlook | None) -> dict[str, float]:
    stored = outlook.details.get("weights") if outlook is not None else None
    return dict(stored) if isinstance(stored, dict) else {}
