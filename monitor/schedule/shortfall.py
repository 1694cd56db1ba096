"""What stays unseen when hours, money or visits are short: the risk that remains.

Visits are given up by the order of risk, the least first. What remains is told as the
number of supports given up that reach an act limit within the plan with nobody looking,
drawn from the dates that the readings give. This is screening: supports without a
forecast, and damage that no reading foretells, are not in that number.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from monitor.schedule.years import DRAWS, HIGH, LOW, MONTHS, Owing, Spread, YearPlan

SHARES = (1.0, 0.8, 0.6, 0.4, 0.2, 0.0)


@dataclass(frozen=True, slots=True)
class Cap:
    """The most there is in one year, None where nothing was said.

    Attributes
    ----------
    money : in the currency of the costs
    """

    hours: float | None = None
    money: float | None = None
    visits: float | None = None

    @property
    def is_told(self) -> bool:
        """Whether there is a bound at all."""
        return (self.hours, self.money, self.visits) != (None, None, None)


@dataclass(frozen=True, slots=True)
class Unseen:
    """Supports that reach an act limit within the plan though nobody looks.

    Attributes
    ----------
    expected : mean number
    number : with its 90 % interval
    any_share : probability that there is at least one
    unknown : how many given up have no forecast, so that nothing is known
    """

    expected: float
    number: Spread
    any_share: float
    unknown: int


@dataclass(frozen=True, slots=True)
class Undone:
    """What is left when the year is short.

    Attributes
    ----------
    short : what a median year asks for beyond the cap, as hours, money and visits
    codes : supports whose standing visits are given up, least risk first
    """

    short: Cap
    codes: tuple[str, ...]
    unseen: Unseen


@dataclass(frozen=True, slots=True)
class Rung:
    """One step of a budget that shrinks.

    Attributes
    ----------
    share : of the hours of all standing visits
    """

    share: float
    given_up: int
    unseen: Unseen


def undone(owing: Sequence[Owing], plan: YearPlan, cap: Cap) -> Undone:
    """Give up visits, least risk first, until the year fits under the cap.

    It says what is left open, not that this is right; people decide that.
    """
    needed = (
        _median(plan.hours_by_year), _median(plan.money_by_year),
        _median(plan.visits_by_year),
    )  # fmt: skip
    caps = (cap.hours, cap.money, cap.visits)
    short = [0.0 if c is None else max(0.0, n - c) for n, c in zip(needed, caps,
             strict=True)]  # fmt: skip
    reach = _reach(owing, len(plan.months))
    given: list[int] = []
    saved = np.zeros(3)
    for index in _least_first(owing, reach):
        if np.all(saved >= np.array(short) - 1e-9):
            break
        given.append(index)
        saved += _a_year(owing[index])
    return Undone(
        Cap(*short),
        tuple(owing[index].code for index in given),
        _unseen(owing, reach, given),
    )


def ladder(owing: Sequence[Owing], plan: YearPlan) -> tuple[Rung, ...]:
    """What remains when only a share of the hours of standing visits is there."""
    reach = _reach(owing, len(plan.months))
    order = _least_first(owing, reach)
    hours = np.array([_a_year(owing[index])[0] for index in order])
    total = float(hours.sum())
    saved = np.concatenate([[0.0], np.cumsum(hours)])
    rungs = []
    for share in SHARES:
        # the first count of given-up supports that saves enough
        count = int(np.searchsorted(saved, (1 - share) * total - 1e-9))
        rungs.append(Rung(share, count, _unseen(owing, reach, order[:count])))
    return tuple(rungs)


def reach_share(each: Owing, months: int) -> float:
    """Probability that a support reaches an act limit within so many months."""
    return float(_reach([each], months).mean())


def _least_first(owing: Sequence[Owing], reach: NDArray[np.bool_]) -> list[int]:
    """By standing, then use and consequence beneath, then the forecast, then rhythm."""
    shares = reach.mean(axis=0)
    return sorted(
        range(len(owing)),
        key=lambda i: (
            owing[i].weight, -owing[i].target, shares[i], -owing[i].every_months,
            owing[i].code,
        ),
    )  # fmt: skip


def _a_year(each: Owing) -> NDArray[np.float64]:
    """Hours, money and visits that giving it up saves in a year."""
    visits = MONTHS / each.every_months
    hours = visits * each.visit_min / 60
    return np.array([hours, visits * each.visit_cost, visits])


def _reach(owing: Sequence[Owing], months: int, seed: int = 7) -> NDArray[np.bool_]:
    """By draw and support: whether any of its series reaches its act limit in time.

    Between the 5 %, 50 % and 95 % dates the share grows straight; beyond the last one
    it grows no more. Series of one support are drawn as if they knew nothing of each
    other.
    """
    rng = np.random.default_rng(seed)
    reach = np.zeros((DRAWS, len(owing)), dtype=np.bool_)
    for column, each in enumerate(owing):
        for limit in each.limits:
            share = float(np.interp(months, limit.months, limit.shares))
            reach[:, column] |= rng.random(DRAWS) < share
    return reach


def _unseen(
    owing: Sequence[Owing], reach: NDArray[np.bool_], given: Sequence[int]
) -> Unseen:
    counts = reach[:, list(given)].sum(axis=1)
    low, median, high = np.percentile(counts, (LOW, 50.0, HIGH))
    return Unseen(
        float(counts.mean()),
        Spread(float(low), float(median), float(high)),
        float((counts > 0).mean()),
        sum(not owing[index].limits for index in given),
    )


def _median(years: Sequence[Spread]) -> float:
    return sum(year.median for year in years) / len(years)
