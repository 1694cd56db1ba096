"""What the coming years ask for: visits, hours and works, month by month, with doubt.

A visit falls somewhere in its window and the next one is counted from the rhythm; looks
that readings ask for come at a date drawn between the early and the late one; visits
after events and works nobody planned come at the rate of the past, which itself is
known only as well as so many years tell (gamma, with half a count: Jeffreys' prior).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from monitor.errors import InvalidInput

MONTHS = 12
LONGEST_YEARS = 10
DRAWS = 400
DAYS_PER_MONTH = 30.436875
LOW, HIGH = 5.0, 95.0

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Owing:
    """One support as the plan of years sees it.

    Attributes
    ----------
    opens_on, late_on : the window of the next visit
    every_months : standing interval [month]
    visit_min : on site and on the way [min]
    works : months from the start in which a work falls due, with its minutes
    looks : early and late month of an extra look that readings will ask for
    weight : risk in the user's order when hours are short; larger goes first
    """

    code: str
    site: str
    owner: str
    opens_on: date
    late_on: date
    every_months: float
    visit_min: float
    weight: float = 1.0
    works: tuple[tuple[int, float], ...] = ()
    looks: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class PastRate:
    """Visits that nobody planned, so many in so many support-years."""

    count: int
    support_years: float


@dataclass(frozen=True, slots=True)
class Spread:
    """A number with its 90 % interval."""

    low: float
    median: float
    high: float


@dataclass(frozen=True, slots=True)
class MonthPlan:
    """One month: visits and hours."""

    starts_on: date
    visits: Spread
    hours: Spread


@dataclass(frozen=True, slots=True)
class YearPlan:
    """The plan.

    Attributes
    ----------
    hours_by_year : work and way [h]
    by_site, by_owner : visits and median hours over all years, most hours first
    works : works that fall due within the years
    """

    months: tuple[MonthPlan, ...]
    visits_by_year: tuple[Spread, ...]
    hours_by_year: tuple[Spread, ...]
    by_site: tuple[tuple[str, float, float], ...]
    by_owner: tuple[tuple[str, float, float], ...]
    works: int


@dataclass(frozen=True, slots=True)
class Undone:
    """What is left when hours are short.

    Attributes
    ----------
    hours_short : in a median year [h]
    codes : supports whose next visits are given up, least weight first
    """

    hours_short: float
    codes: tuple[str, ...]


def plan_years(
    owing: Sequence[Owing], rate: PastRate, today: date, years: int, seed: int = 1
) -> YearPlan:
    """Simulate the years.

    Raises
    ------
    InvalidInput : fewer than 1 or more than 10 years
    """
    if not 1 <= years <= LONGEST_YEARS:
        raise InvalidInput(
            f"Found {years} years, expected 1 to {LONGEST_YEARS}.",
            field="years",
            code="yrs-001",
        )
    rng = np.random.default_rng(seed)
    count = years * MONTHS
    visits = np.zeros((DRAWS, count))
    hours = np.zeros((DRAWS, count))
    of_site: dict[str, list[float]] = {}
    of_owner: dict[str, list[float]] = {}
    for each in owing:
        own = _visits(each, today, count, rng)
        worked = own * each.visit_min / 60 + _work_hours(each, count)
        visits += own
        hours += worked
        mean = (float(own.sum(axis=1).mean()), float(worked.sum(axis=1).mean()))
        for key, table in ((each.site, of_site), (each.owner, of_owner)):
            total = table.setdefault(key, [0.0, 0.0])
            total[0] += mean[0]
            total[1] += mean[1]
    extra = _extra(rate, len(owing), count, rng)
    visits += extra
    hours += extra * _usual_min(owing) / 60
    return YearPlan(
        tuple(
            MonthPlan(_month(today, n), _spread(visits[:, n]), _spread(hours[:, n]))
            for n in range(count)
        ),
        _by_year(visits, years),
        _by_year(hours, years),
        _ordered(of_site),
        _ordered(of_owner),
        sum(sum(n < count for n, _ in each.works) for each in owing),
    )


def undone(owing: Sequence[Owing], plan: YearPlan, hours_a_year: float) -> Undone:
    """Which visits go first when only so many hours a year are there.

    The least weight goes first, then the longest interval: what moves least is missed
    least. It says what is left open, not that this is right; people decide that.
    """
    needed = sum(year.median for year in plan.hours_by_year) / len(plan.hours_by_year)
    short = needed - hours_a_year
    codes: list[str] = []
    saved = 0.0
    for each in sorted(owing, key=lambda o: (o.weight, -o.every_months, o.code)):
        if saved >= short:
            break
        codes.append(each.code)
        saved += each.visit_min / 60 * MONTHS / each.every_months
    return Undone(max(0.0, short), tuple(codes))


def _visits(each: Owing, today: date, count: int, rng: np.random.Generator) -> Floats:
    """Visits by draw and month: the first in its window, then by the rhythm."""
    first = max(0.0, (each.opens_on - today).days / DAYS_PER_MONTH)
    last = max(first, (each.late_on - today).days / DAYS_PER_MONTH)
    window = min(last - first, each.every_months)
    found = np.zeros((DRAWS, count))
    start = first
    while start < count:
        _put(found, start + window * rng.random(DRAWS))
        start += each.every_months
    for early, late in each.looks:
        _put(found, early + max(0.0, late - early) * rng.random(DRAWS))
    return found


def _put(found: Floats, months: Floats) -> None:
    rows = np.flatnonzero((months >= 0) & (months < found.shape[1]))
    np.add.at(found, (rows, months[rows].astype(np.intp)), 1.0)


def _work_hours(each: Owing, count: int) -> Floats:
    hours = np.zeros(count)
    for month, minutes in each.works:
        if month < count:
            hours[max(0, month)] += minutes / 60
    return hours


def _extra(
    rate: PastRate, supports: int, count: int, rng: np.random.Generator
) -> Floats:
    if rate.support_years <= 0:
        return np.zeros((DRAWS, count))
    per_year = rng.gamma(rate.count + 0.5, 1 / rate.support_years, DRAWS)
    return rng.poisson(
        per_year[:, None] * supports / MONTHS, (DRAWS, count)
    ).astype(np.float64)  # fmt: skip


def _usual_min(owing: Sequence[Owing]) -> float:
    return float(np.mean([each.visit_min for each in owing])) if owing else 0.0


def _by_year(drawn: Floats, years: int) -> tuple[Spread, ...]:
    sums = drawn.reshape(DRAWS, years, MONTHS).sum(axis=2)
    return tuple(_spread(sums[:, n]) for n in range(years))


def _spread(values: Floats) -> Spread:
    low, median, high = np.percentile(values, (LOW, 50.0, HIGH))
    return Spread(float(low), float(median), float(high))


def _ordered(table: dict[str, list[float]]) -> tuple[tuple[str, float, float], ...]:
    rows = [(name, visits, hours) for name, (visits, hours) in table.items()]
    return tuple(sorted(rows, key=lambda row: (-row[2], row[0])))


def _month(today: date, n: int) -> date:
    years, month0 = divmod(today.month - 1 + n, MONTHS)
    return date(today.year + years, month0 + 1, 1)
