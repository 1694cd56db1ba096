"""What the coming years ask for: visits, hours and works, month by month, with doubt.

A visit falls somewhere in its window and the next one is counted from the rhythm; looks
that readings ask for come at a date drawn between the early and the late one; visits
after events and works nobody planned come at the rate of the past, which itself is
known only as well as so many years tell (gamma, with half a count: Jeffreys' prior).
"""

from collections import Counter
from collections.abc import Mapping, Sequence
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
class PlannedWork:
    """A work that falls due so many months from the start."""

    month: int
    minutes: float
    cost: float = 0.0


@dataclass(frozen=True, slots=True)
class LimitTime:
    """When one series may reach its act limit: shares of certainty by month.

    Attributes
    ----------
    months, shares : points of a rising line, such as (12, 30, 60) and (0.05, 0.5, 0.95)
    """

    months: tuple[float, ...]
    shares: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Owing:
    """One support as the plan of years sees it.

    Attributes
    ----------
    opens_on, late_on : the window of the next visit
    every_months : standing interval [month]
    visit_min : on site and on the way [min]
    visit_cost : one visit, all in all
    weight : by standing, when hours are short; larger goes first
    target : use and consequence beneath; smaller is graver
    works : works that fall due
    looks : early and late month of an extra look that readings will ask for
    limits : when its series may reach their act limits; empty without a forecast
    """

    code: str
    site: str
    owner: str
    opens_on: date
    late_on: date
    every_months: float
    visit_min: float
    visit_cost: float = 0.0
    weight: float = 1.0
    target: int = 0
    works: tuple[PlannedWork, ...] = ()
    looks: tuple[tuple[float, float], ...] = ()
    limits: tuple[LimitTime, ...] = ()


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
    """One month: visits, hours, money, and how many works fall due."""

    starts_on: date
    visits: Spread
    hours: Spread
    money: Spread
    works: int


@dataclass(frozen=True, slots=True)
class Share:
    """What one site or owner asks for, all years together, on the average."""

    name: str
    visits: float
    hours: float
    money: float


@dataclass(frozen=True, slots=True)
class YearPlan:
    """The plan.

    Attributes
    ----------
    hours_by_year : work and way [h]
    by_site, by_owner : most hours first
    works : works that fall due within the years
    """

    months: tuple[MonthPlan, ...]
    visits_by_year: tuple[Spread, ...]
    hours_by_year: tuple[Spread, ...]
    money_by_year: tuple[Spread, ...]
    by_site: tuple[Share, ...]
    by_owner: tuple[Share, ...]
    works: int


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
    sums = np.zeros((3, DRAWS, count))
    of_site: dict[str, Floats] = {}
    of_owner: dict[str, Floats] = {}
    for each in owing:
        drawn = _drawn(each, today, count, rng)
        sums += drawn
        mean = drawn.sum(axis=2).mean(axis=1)
        for key, table in ((each.site, of_site), (each.owner, of_owner)):
            table[key] = table.get(key, np.zeros(3)) + mean
    sums += _extra(rate, len(owing), count, rng) * _usual(owing)[:, None, None]
    visits, hours, money = sums
    return YearPlan(
        _by_month(sums, today, Counter(w.month for each in owing for w in each.works)),
        _by_year(visits, years),
        _by_year(hours, years),
        _by_year(money, years),
        _ordered(of_site),
        _ordered(of_owner),
        sum(w.month < count for each in owing for w in each.works),
    )


def _by_month(
    sums: Floats, today: date, works: Mapping[int, int]
) -> tuple[MonthPlan, ...]:
    visits, hours, money = sums
    return tuple(
        MonthPlan(
            _month(today, n),
            _spread(visits[:, n]),
            _spread(hours[:, n]),
            _spread(money[:, n]),
            works.get(n, 0),
        )
        for n in range(sums.shape[2])
    )


def _drawn(each: Owing, today: date, count: int, rng: np.random.Generator) -> Floats:
    """Visits, hours and money of one support by draw and month."""
    visits = _visits(each, today, count, rng)
    hours = visits * each.visit_min / 60
    money = visits * each.visit_cost
    for work in each.works:
        if work.month < count:
            hours[:, work.month] += work.minutes / 60
            money[:, work.month] += work.cost
    return np.stack([visits, hours, money])


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


def _extra(
    rate: PastRate, supports: int, count: int, rng: np.random.Generator
) -> Floats:
    if rate.support_years <= 0:
        return np.zeros((DRAWS, count))
    per_year = rng.gamma(rate.count + 0.5, 1 / rate.support_years, DRAWS)
    return rng.poisson(
        per_year[:, None] * supports / MONTHS, (DRAWS, count)
    ).astype(np.float64)  # fmt: skip


def _usual(owing: Sequence[Owing]) -> Floats:
    """One visit as it usually is: itself, its hours, its money."""
    if not owing:
        return np.zeros(3)
    rows = [(1.0, each.visit_min / 60, each.visit_cost) for each in owing]
    return np.asarray(np.mean(rows, axis=0))


def _by_year(drawn: Floats, years: int) -> tuple[Spread, ...]:
    sums = drawn.reshape(DRAWS, years, MONTHS).sum(axis=2)
    return tuple(_spread(sums[:, n]) for n in range(years))


def _spread(values: Floats) -> Spread:
    low, median, high = np.percentile(values, (LOW, 50.0, HIGH))
    return Spread(float(low), float(median), float(high))


def _ordered(table: dict[str, Floats]) -> tuple[Share, ...]:
    rows = [Share(name, *(float(x) for x in total)) for name, total in table.items()]
    return tuple(sorted(rows, key=lambda share: (-share.hours, share.name)))


def _month(today: date, n: int) -> date:
    years, month0 = divmod(today.month - 1 + n, MONTHS)
    return date(today.year + years, month0 + 1, 1)
