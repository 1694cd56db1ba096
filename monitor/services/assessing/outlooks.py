"""Series in, outlooks out: arrays for the analysis, records for everyone else."""

import hashlib
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

import numpy as np

from monitor import trends
from monitor.domain.conclusions import Dates, Outlook
from monitor.domain.ledger import canonical
from monitor.domain.quantities import SERIES_LABEL
from monitor.domain.vocabulary import Harm
from monitor.services.assessing.arrays import (
    DAYS_PER_YEAR,
    DIRECTIONS,
    Floats,
    later,
    readings_arrays,
    series_arrays,
)
from monitor.services.assessing.calibrate import Numbers
from monitor.services.assessing.cross_check import Check, cross_checks
from monitor.services.assessing.fans import Fans, fans_of
from monitor.services.assessing.series import OneSeries, SeriesTable
from monitor.services.assessing.unit_doubts import UnitDoubt, heeding, unit_doubts
from monitor.units import show, unit_sign

NINETY = 2 * 1.6448536269514722
"""Width of the 90 % interval of a normal distribution, in standard deviations."""
CLASSES = ("still", "moving", "fast", "broad")


def outlooks_of_series(
    table: SeriesTable,
    days: dict[UUID, date],
    longest_years: dict[UUID, float],
    numbers: Numbers,
    now: datetime,
) -> list[Outlook]:
    """Assess every series of a table as of today at its site.

    Parameters
    ----------
    days : today at the site of each support
    longest_years : how long each support may go without a look [yr]
    numbers : what the fleet has taught
    now : stamped on the outlooks
    """
    if not table.series:
        return []
    todays = [days[one.support_id] for one in table.series]
    readings = readings_arrays(table)
    longest = np.array([longest_years[one.support_id] for one in table.series])
    series = series_arrays(table.series, todays, longest)
    found = trends.outlooks(readings, series, numbers.hyper)
    fans = fans_of(readings, series, todays, numbers.hyper)
    plain = cross_checks(readings, series)
    doubts = unit_doubts(table, readings, series, numbers.levels)
    return [
        _record(
            table,
            one,
            heeding(found.one(n), doubts.get(n)),
            _Extras(found.weight[one.rows], fans[n], plain[n], doubts.get(n)),
            (todays[n], now),
        )
        for n, one in enumerate(table.series)
    ]


@dataclass(frozen=True, slots=True)
class _Extras:
    """What is drawn or told beside the plain numbers of one series."""

    weights: Floats
    fans: Fans
    plain: list[Check]
    doubt: UnitDoubt | None


def _record(
    table: SeriesTable,
    one: OneSeries,
    said: trends.Outlook,
    extras: _Extras,
    moment: tuple[date, datetime],
) -> Outlook:
    today, now = moment
    low, middle, high = said.level
    return Outlook(
        mark_id=one.mark_id,
        series=one.name,
        support_id=one.support_id,
        computed_for=today,
        readings=one.rows.stop - one.rows.start,
        level=_number(middle),
        level_sd=_number((high - low) / NINETY),
        rate=_number(said.rate[1]),
        rate_low=_number(said.rate[0]),
        rate_high=_number(said.rate[2]),
        evidence=_number(said.evidence),
        watch_level=_limit_level(one, one.watch),
        act_level=_limit_level(one, one.act),
        watch_on=_dates(said.watch_years, today),
        act_on=_dates(said.act_years, today),
        p_beyond_watch=_number(said.watch_beyond),
        p_beyond_act=_number(said.act_beyond),
        expected_on=today,
        expected=_number(said.next_now[1]),
        expected_low=_number(said.next_now[0]),
        expected_high=_number(said.next_now[2]),
        unconfirmed=bool(said.newest_unconfirmed),
        look_again_on=_look_again_on(said, today),
        look_rule=_look_rule(one, said),
        refusal=_refusal(said, extras.doubt),
        sentence=_sentence(one, said, extras.doubt, today),
        method_version=f"{trends.METHOD_VERSION} {said.version}",
        input_version=_input_version(table, one),
        details=_details(table, one, extras, said),
        computed_at=now,
    )


def _limit_level(one: OneSeries, level: float | None) -> float | None:
    """The level that is drawn: a radius for tilt, the upper one if both ways harm."""
    if level is None or one.quantity.harm is not Harm.BOTH:
        return level
    return one.baseline[0] + level


def _number(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def _dates(years: tuple[float, float, float], today: date) -> Dates:
    return Dates(*(later(today, y) if np.isfinite(y) else None for y in years))


def _look_again_on(said: trends.Outlook, today: date) -> date | None:
    if said.look_rule == trends.LookRule.ORDINARY or not np.isfinite(said.look_years):
        return None
    return later(today, said.look_years)


def _look_rule(one: OneSeries, said: trends.Outlook) -> str:
    """Why the readings want another look, as a clause."""
    what = SERIES_LABEL[one.name]
    rule = trends.LookRule(said.look_rule)
    if rule is trends.LookRule.HALF_TIME and one.act is not None:
        limit = show(one.act, one.quantity.unit, digits=_digits(one.act))
        return f"half of the time left until the {what} may reach {limit}"
    return trends.LOOK_WORDS[rule]


def _digits(value: float) -> int:
    return 0 if abs(value) >= 100 or value == round(value) else 1


def _refusal(said: trends.Outlook, doubt: UnitDoubt | None) -> str:
    code = trends.Refusal(said.refusal)
    if code is trends.Refusal.UNIT_DOUBTED and doubt is not None:
        return doubt.words
    return "" if code is trends.Refusal.LIMIT_MISSING else trends.REFUSAL_WORDS[code]


def _sentence(
    one: OneSeries, said: trends.Outlook, doubt: UnitDoubt | None, today: date
) -> str:
    if said.refusal == trends.Refusal.UNIT_DOUBTED and doubt is not None:
        return f"No answer: {doubt.words}"
    act = one.act
    limit = "" if act is None else show(act, one.quantity.unit, digits=_digits(act))
    text = trends.sentence(
        said,
        trends.About(
            unit=unit_sign(one.quantity.unit),
            limit=limit,
            now_years=(today - one.starts_on).days / DAYS_PER_YEAR,
            direction=DIRECTIONS[one.quantity.harm],
        ),
        today,
    )
    if doubt is None:
        return text
    return f"{text} {doubt.words[0].upper()}{doubt.words[1:]}"


def _input_version(table: SeriesTable, one: OneSeries) -> str:
    """Fingerprint of all that the outlook was computed from, today's date apart."""
    rows = table.readings.iloc[one.rows]
    inputs = [
        [str(key) for key in rows["reading_id"]],
        rows["value"].tolist(),
        one.starts_on.isoformat(),
        [one.watch, one.act],
        list(one.baseline),
    ]
    return hashlib.sha256(canonical(inputs).encode()).hexdigest()[:16]


def _details(
    table: SeriesTable,
    one: OneSeries,
    extras: _Extras,
    said: trends.Outlook,
) -> dict[str, object]:
    """What the pages draw and tell beside the plain numbers."""
    ids = table.readings["reading_id"].iloc[one.rows]
    fans = extras.fans
    if said.refusal == trends.Refusal.UNIT_DOUBTED:
        fans = Fans([], [], [])
    details: dict[str, object] = {
        "segment_from": one.starts_on.isoformat(),
        "newest": _newest(table, one),
        "baseline": list(one.baseline)
        if one.is_vector
        else (one.baseline or [None])[0],
        "fan": fans.level,
        "weights": {
            str(key): round(float(share), 4)
            for key, share in zip(ids, extras.weights, strict=True)
            if np.isfinite(share)
        },
        "plain": extras.plain,
        "limit_source": one.limits.source if one.limits else "",
        "limit_basis": one.limits.basis.value if one.limits else "",
    }
    if fans.x and fans.y:
        details |= {"fan_x": fans.x, "fan_y": fans.y, "position": _position(fans)}
    if np.isfinite(said.classes).all():
        details["classes"] = dict(zip(CLASSES, said.classes, strict=True))
    if one.quantity.harm is Harm.BOTH and one.act is not None and one.watch is not None:
        details["watch_low"] = one.baseline[0] - one.watch
        details["act_low"] = one.baseline[0] - one.act
    return details


def _newest(table: SeriesTable, one: OneSeries) -> float | None:
    """The newest reading as it stands; of a vector, its way from the baseline."""
    rows = table.readings.iloc[one.rows]
    if rows.empty:
        return None
    last = rows.iloc[-1]
    if not one.is_vector:
        return float(last["value"])
    x, y = one.baseline
    return float(np.hypot(last["value"] - x, last["value_y"] - y))


def _position(fans: Fans) -> list[float]:
    """Where the top is now: x, y, standard deviations of x and y, correlation."""
    (_, x_low, x, x_high), (_, y_low, y, y_high) = fans.x[0], fans.y[0]
    return [x, y, (x_high - x_low) / NINETY, (y_high - y_low) / NINETY, 0.0]
