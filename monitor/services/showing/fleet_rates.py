"""How fast things move, by what they share; and which move for certain."""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

import numpy as np
from scipy import stats

from monitor.domain.quantities import SERIES
from monitor.services.showing.fleet_lives import Grouped
from monitor.store.fleet_lines import MemberLine, SeriesLine
from monitor.trends import discoveries

FEWEST = 3
"""Supports without which a mean has no bounds."""

FEW = 10
FALSE_SHARE = 0.05


@dataclass(frozen=True, slots=True)
class GroupRate:
    """The mean rate of one group, each support counting once.

    Attributes
    ----------
    rate, low, high : mean and its 95 % bounds; None where there are too few
        [unit per year]
    """

    name: str
    supports: int
    series: int
    rate: float
    low: float | None
    high: float | None

    @property
    def is_few(self) -> bool:
        """Whether it is too few to compare with others."""
        return self.supports < FEW


@dataclass(frozen=True, slots=True)
class Mover:
    """One series that is on the list of those that move."""

    member: MemberLine
    line: SeriesLine


def choices(series: Sequence[SeriesLine]) -> tuple[str, ...]:
    """What has rates to compare, most series first."""
    counts: dict[str, int] = defaultdict(int)
    for line in series:
        if line.rate is not None:
            counts[line.series] += 1
    return tuple(sorted(counts, key=lambda name: (-counts[name], name)))


def group_rates(
    members: Mapping[UUID, MemberLine],
    series: Iterable[SeriesLine],
    groups: Grouped,
    wanted: str,
) -> tuple[GroupRate, ...]:
    """Mean rates of one quantity, the largest group first.

    Several series of one support are averaged first: they share tree, soil and hand,
    so they are no independent witnesses. Bounds are Student's, among supports.

    References
    ----------
    .. [1] Student, The probable error of a mean, Biometrika 6 (1908), 1-25
    """
    found: dict[str, dict[UUID, list[float]]] = defaultdict(lambda: defaultdict(list))
    for line in series:
        if line.series == wanted and line.rate is not None:
            member = members[line.member_id]
            found[groups.of(member)][member.support_id].append(line.rate)
    rates = [_group(name, by_support) for name, by_support in found.items()]
    return tuple(sorted(rates, key=lambda one: (-one.supports, one.name)))


def movers(
    members: Mapping[UUID, MemberLine], series: Sequence[SeriesLine]
) -> tuple[Mover, ...]:
    """The series that move for certain, the nearest to a limit first.

    At most one in twenty of the list is still, on average, however long it is and
    however the series hang together.

    References
    ----------
    .. [1] R. Wang, A. Ramdas, False discovery rate control with e-values, J. R. Stat.
       Soc. B 84 (2022), 822-852
    """
    told = [line for line in series if line.evidence is not None]
    if not told:
        return ()
    evidence = np.array([line.evidence for line in told], dtype=np.float64)
    listed = discoveries(np.nan_to_num(evidence, nan=0.0), FALSE_SHARE)
    found = [
        Mover(members[line.member_id], line)
        for line, is_listed in zip(told, listed, strict=True)
        if is_listed
    ]
    return tuple(sorted(found, key=_urgency))


def _urgency(one: Mover) -> tuple[date, float]:
    return one.line.act_median_on or date.max, -(one.line.evidence or 0)


def unit_of(series: str) -> str:
    """Canonical unit of a series."""
    return SERIES[series][0].unit


def _group(name: str, by_support: Mapping[UUID, Sequence[float]]) -> GroupRate:
    means = [math.fsum(rates) / len(rates) for rates in by_support.values()]
    count, series = len(means), sum(len(rates) for rates in by_support.values())
    mean = math.fsum(means) / count
    if count < FEWEST:
        return GroupRate(name, count, series, mean, None, None)
    spread = math.sqrt(math.fsum((x - mean) ** 2 for x in means) / (count - 1))
    half = float(stats.t.ppf(0.975, count - 1)) * spread / math.sqrt(count)
    return GroupRate(name, count, series, mean, mean - half, mean + half)
