"""Fit the fleet's shared numbers on the record, and audit our own past forecasts.

What the audit finds is acted on: a group whose forecasts failed too often is widened,
or its dates are refused, until a later night finds them right again.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np

from monitor import trends
from monitor.clock import local_date
from monitor.domain.calibration import Calibration, GroupAudit
from monitor.domain.vocabulary import MemberKind
from monitor.services.assessing.arrays import GROUPS, readings_arrays, series_arrays
from monitor.services.assessing.fleet import load_fleet
from monitor.services.assessing.series import series_of
from monitor.store import Session, records
from monitor.trends.audit import Audit
from monitor.trends.doubted import UsualLevel, usual_levels


@dataclass(frozen=True, slots=True)
class Numbers:
    """What the whole fleet has taught, for the assessment of any part of it.

    Attributes
    ----------
    hyper : numbers that the analysis shares among series
    levels : usual size of the readings of each group, to doubt a unit by
    """

    hyper: trends.Hyper
    levels: Mapping[int, UsualLevel]


def calibrate(session: Session, *, now: datetime) -> Calibration | None:
    """Fit and audit on everything that is recorded; None while there is nothing.

    It takes its time and writes nothing, so it wants a read session; `adopt` the
    result in a write session of its own.
    """
    fleet = load_fleet(session)
    table = series_of(session, fleet)
    if not table.series:
        return None
    todays = [
        local_date(now, fleet.sites[one.support_id].timezone) for one in table.series
    ]
    readings = readings_arrays(table)
    series = series_arrays(table.series, todays, np.ones(len(todays)))
    version = f"{trends.METHOD_VERSION}/{now:%Y-%m-%d %H:%M}"
    fitted = trends.fit(readings, series, version=version)
    audits = trends.audit(readings, series, fitted)
    return Calibration(
        version=version,
        fitted_at=now,
        readings=len(readings),
        numbers=_named(trends.applied(fitted, audits).to_dict())
        | {"levels": _stored_levels(usual_levels(readings, series))},
        audits=tuple(_audit(code, audits[code]) for code in sorted(audits)),
    )


def adopt(session: Session, found: Calibration) -> None:
    """Let later assessments use these numbers; they carry its version."""
    records.CALIBRATIONS.put(session, [found])


def latest_calibration(session: Session) -> Calibration | None:
    """The newest fit, None before the first night."""
    return max(
        records.CALIBRATIONS.all(session), key=lambda c: c.fitted_at, default=None
    )


def numbers_in_force(session: Session) -> Numbers:
    """The numbers that assessments use: the newest fit, else the defaults."""
    found = latest_calibration(session)
    if found is None:
        return Numbers(trends.DEFAULT, {})
    plain: dict[str, Any] = dict(found.numbers)  # JSON-like, so Any
    levels = _read_levels(plain.pop("levels", {}))
    return Numbers(trends.Hyper.from_dict(_coded(plain)), levels)


def _stored_levels(levels: Mapping[int, UsualLevel]) -> dict[str, list[float]]:
    return {", ".join(GROUPS[n]): [u.middle, u.spread] for n, u in levels.items()}


def _read_levels(plain: Mapping[str, list[float]]) -> dict[int, UsualLevel]:
    codes = {", ".join(group): n for n, group in enumerate(GROUPS)}
    return {codes[n]: UsualLevel(*pair) for n, pair in plain.items() if n in codes}


def _named(plain: Mapping[str, Any]) -> dict[str, object]:
    """Groups by name, which outlive any change of their codes."""
    names = {code: ", ".join(GROUPS[int(code)]) for code in plain["groups"]}
    return {**plain, "groups": {names[c]: g for c, g in plain["groups"].items()}}


def _coded(plain: Mapping[str, Any]) -> dict[str, Any]:
    codes = {", ".join(group): str(n) for n, group in enumerate(GROUPS)}
    groups = plain["groups"].items()
    return {**plain, "groups": {codes[n]: g for n, g in groups if n in codes}}


def _audit(code: int, found: Audit) -> GroupAudit:
    series, kind = GROUPS[code]
    one, half = found.one_step, found.half_record
    return GroupAudit(
        series=series,
        kind=MemberKind(kind),
        tried=one.tried,
        held=one.held,
        half_tried=half.tried,
        half_held=half.held,
        bend_t=_number(half.bend_t),
        noise_ratio=_number(found.noise_ratio),
        ours=_number(one.interval_score),
        last_value=_number(found.last_value_score),
        fleet_mean=_number(found.fleet_mean_score),
        verdict=found.verdict.name.lower(),
        sentence=trends.audit_words(found),
    )


def _number(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
