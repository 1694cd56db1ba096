"""From recorded readings to the series the analysis looks at.

A series is one quantity at one mark, in the segment since the last work that broke its
line. Both tilt axes make one series; a tilt reading with one axis only is left out.
"""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

import numpy as np
import pandas as pd

from monitor.domain.limits import DEFAULT_LIMITS, Limits
from monitor.domain.quantities import QUANTITIES, SERIES, Quantity
from monitor.domain.supports import Fact, LimitOverride, Member
from monitor.domain.vocabulary import Answer, Harm, InspectionKind, LimitBasis
from monitor.services.assessing.fleet import Fleet
from monitor.store import Session
from monitor.store.frames import readings_frame, segments_frame

_AFTER = {InspectionKind.AFTER_WORK.value, InspectionKind.BASELINE.value}
_NOMINAL = {"wall": "wall_mm", "rod_diameter": "anchor_rod_mm"}


@dataclass(frozen=True, slots=True)
class OneSeries:
    """One series in its current segment, with what it is judged by.

    Attributes
    ----------
    rows : where its readings stand in the table's frame, oldest first
    starts_on : first day of the segment: the work, or the installation
    baseline : mean of the first day's readings, one number an axis; empty if none
    limits : watch and act with basis and source, None if none are set
    watch, act : levels of the reading itself, or radius about the baseline; None
        if there are no limits or no baseline yet
    """

    support_id: UUID
    member: Member
    mark_id: UUID
    name: str
    quantity: Quantity
    rows: slice
    starts_on: date
    baseline: tuple[float, ...]
    limits: Limits | None
    watch: float | None
    act: float | None

    @property
    def is_vector(self) -> bool:
        """Whether each reading has two components."""
        return len(SERIES[self.name]) > 1


@dataclass(frozen=True, slots=True)
class SeriesTable:
    """Every series of a fleet and the readings they consist of.

    Attributes
    ----------
    readings : as `readings_frame`, measured ones of current segments only, sorted by
        series and day, with `value_y` (second axis, NaN unless tilt)
    """

    series: list[OneSeries]
    readings: pd.DataFrame


def series_of(
    session: Session, fleet: Fleet, *, known_at: datetime | None = None
) -> SeriesTable:
    """Every series on the standing members of a fleet, in its current segment.

    A series whose line was broken by work and not read since is there without rows.
    """
    ids = list(fleet.supports)
    frame = _measured(readings_frame(session, ids, known_at=known_at))
    standing = {
        m.id: m
        for key in ids
        if fleet.supports[key].removed_on is None
        for m in fleet.standing_members(key)
    }
    frame = frame[frame["member_id"].isin(list(standing))]
    breaks = _last_breaks(segments_frame(session, ids, known_at=known_at))
    keys = frame[_KEYS].drop_duplicates()
    keys = keys.sort_values(["support_id", "mark_id", "series"]).reset_index(drop=True)
    frame = frame.merge(keys.reset_index(names="index"), on=_KEYS)
    frame = frame[np.array(_in_segment(frame, breaks), dtype=np.bool_)]
    frame = frame.sort_values(["index", "inspected_on", "repeat"]).reset_index(
        drop=True
    )
    bounds = np.searchsorted(frame["index"].to_numpy(), np.arange(len(keys) + 1))
    columns = _Columns(
        frame["inspected_on"].to_numpy(),
        frame[["value", "value_y"]].to_numpy(dtype=np.float64),
    )
    series = [
        _one(
            fleet,
            standing[member_id],
            (mark_id, name, breaks.get((mark_id, name))),
            slice(int(bounds[n]), int(bounds[n + 1])),
            columns,
        )
        for n, (member_id, mark_id, name) in enumerate(
            zip(keys["member_id"], keys["mark_id"], keys["series"], strict=True)
        )
    ]
    return SeriesTable(series, frame)


_KEYS = ["support_id", "member_id", "mark_id", "series"]
_ALL = tuple(QUANTITIES.items())


@dataclass(frozen=True, slots=True)
class _Columns:
    days: np.ndarray[tuple[int], np.dtype[np.object_]]
    numbers: np.ndarray[tuple[int, int], np.dtype[np.float64]]


def _measured(frame: pd.DataFrame) -> pd.DataFrame:
    """Keep numbers only, name the series, bring both tilt axes into one row."""
    frame = frame[frame["answer"] == Answer.MEASURED.value].copy()
    frame["series"] = frame["quantity"].map({n: q.series_name for n, q in _ALL})
    frame["axis"] = frame["quantity"].map({n: q.axis for n, q in _ALL})
    first = frame[frame["axis"] == 0]
    second = frame.loc[
        frame["axis"] == 1, ["mark_id", "series", "inspection_id", "repeat", "value"]
    ].rename(columns={"value": "value_y"})
    paired = first.merge(
        second, how="left", on=["mark_id", "series", "inspection_id", "repeat"]
    )
    is_vector = paired["series"].isin([n for n, parts in SERIES.items() if parts[1:]])
    return paired[~is_vector | paired["value_y"].notna()]


def _last_breaks(frame: pd.DataFrame) -> dict[tuple[UUID, str], date]:
    """The day of the last work on each series; the frame is sorted by day."""
    keys = zip(frame["mark_id"], frame["series"], strict=True)
    return dict(zip(keys, frame["starts_on"], strict=True))


def _in_segment(
    frame: pd.DataFrame, breaks: dict[tuple[UUID, str], date]
) -> list[bool]:
    """Whether each reading lies after the last break; on its day, if taken after it."""
    rows = zip(
        frame["mark_id"],
        frame["series"],
        frame["inspected_on"],
        frame["inspection_kind"],
        strict=True,
    )
    return [
        (last := breaks.get((mark_id, name))) is None
        or on > last
        or (on == last and kind in _AFTER)
        for mark_id, name, on, kind in rows
    ]


def _one(
    fleet: Fleet,
    member: Member,
    key: tuple[UUID, str, date | None],
    rows: slice,
    columns: _Columns,
) -> OneSeries:
    mark_id, name, broken_on = key
    quantity = SERIES[name][0]
    baseline = _baseline(columns, rows, len(SERIES[name]))
    limits = _limits(name, fleet.overrides.get(member.support_id, {}))
    watch, act = _levels(limits, baseline, quantity, fleet.facts.get(member.id, {}))
    return OneSeries(
        support_id=member.support_id,
        member=member,
        mark_id=mark_id,
        name=name,
        quantity=quantity,
        rows=rows,
        starts_on=broken_on or member.installed_on,
        baseline=baseline,
        limits=limits,
        watch=watch,
        act=act,
    )


def _baseline(columns: _Columns, rows: slice, axes: int) -> tuple[float, ...]:
    """Mean of the first day's readings."""
    days = columns.days[rows]
    if not len(days):
        return ()
    first = columns.numbers[rows][days == days[0], :axes]
    return tuple(float(value) for value in first.mean(axis=0))


def _limits(name: str, overrides: dict[str, LimitOverride]) -> Limits | None:
    own = overrides.get(name)
    if own is None:
        return DEFAULT_LIMITS.get(name)
    source = f"set for this support: {own.reason}"
    return Limits(name, own.basis, own.watch, own.act, source)


def _levels(
    limits: Limits | None,
    baseline: tuple[float, ...],
    quantity: Quantity,
    facts: dict[str, Fact],
) -> tuple[float | None, float | None]:
    if limits is None or not baseline:
        return None, None
    reference = baseline[0]
    nominal = facts.get(_NOMINAL.get(quantity.series_name, ""))
    if limits.basis is LimitBasis.FRACTION and nominal is not None:
        reference = nominal.number or reference
    watch, act = limits.levels(reference, quantity.harm)
    if quantity.harm is Harm.BOTH:
        return abs(watch - reference), abs(act - reference)
    return watch, act
