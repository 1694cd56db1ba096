"""The duty-holder's policy: how long a support may go unseen, as data.

A policy is a table of intervals with a source in every cell, and the rules that go with
it. It can be written out, edited and read back; what can not work is refused in words.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from monitor.domain.vocabulary import (
    Consequence,
    Grade,
    MemberKind,
    Occupancy,
    WorkKind,
)
from monitor.errors import InvalidInput
from monitor.schedule.calendar import DAYS_PER_MONTH, Interval
from monitor.schedule.costs import Costs

Key = tuple[MemberKind, Occupancy, Consequence]

LONGEST_MONTHS = 120


@dataclass(frozen=True, slots=True)
class Cell:
    """One interval of a table, with where it comes from.

    Attributes
    ----------
    days : added to the months, for regimes that look every week [d]
    """

    months: int
    source: str
    days: int = 0

    @property
    def interval(self) -> Interval:
        """The step it stands for."""
        return Interval(months=self.months, days=self.days)

    @property
    def size(self) -> tuple[int, int]:
        """Months and days, to compare two cells by."""
        return self.months, self.days


@dataclass(frozen=True, slots=True)
class WindowRule:
    """How far from the due date a visit still counts for it.

    Attributes
    ----------
    opens_share, late_share : share of a short interval, before and after the due date
    short_below_months : an interval below this is short
    opens_days, late_days : of a long interval, and the most of a short one [d]
    """

    opens_share: float = 0.10
    late_share: float = 0.10
    short_below_months: int = 12
    opens_days: int = 30
    late_days: int = 30
    source: str = (
        "Army aviation practice for calendar inspections: 10 % of an interval below "
        "12 months, 30 days from 12 months on; done inside the window, the next "
        "counts from the due date, outside it from the day it was done"
    )

    def opening_days(self, months: float) -> int:
        """How long before the due date a visit counts for it. [d]"""
        if months >= self.short_below_months:
            return self.opens_days
        return min(self.opens_days, int(self.opens_share * months * DAYS_PER_MONTH))

    def grace_days(self, months: float) -> int:
        """How long after the due date the inspection is not yet late. [d]"""
        if months >= self.short_below_months:
            return self.late_days
        return min(self.late_days, int(self.late_share * months * DAYS_PER_MONTH))


@dataclass(frozen=True, slots=True)
class FindingRule:
    """How soon to look while a grave finding is open. [d]

    Attributes
    ----------
    first_days : after it was seen
    again_days : after each further look, until it is closed
    """

    first_days: int
    again_days: int
    source: str


@dataclass(frozen=True, slots=True)
class Policy:
    """When the duty-holder wants to look.

    Attributes
    ----------
    routine : longest interval, for every kind, occupancy and consequence
    detailed : longest interval of looks within reach; kinds may be missing
    follow_up_months : looks after installation, while the support settles
    first_gaps, first_gap_months : the first so many gaps are at most so long
    after_work_months : follow-ups by kind of work; a kind that is missing needs none
    after_work_reading_days : for the reading right after any such work [d]
    findings : rules by grade of an open finding
    unconfirmed_months : longest wait for the repeat of a doubtful reading
    life_ahead_months : look so long before a service life ends
    life_again_months : and so often after it, until the part is replaced
    baseline_days : a baseline later than this after installation is late [d]
    coating_life_years : planned life of paint whose rust is not read, 0 for none
    costs : what visits and works cost the duty-holder; never an interval
    visits_on_holidays : whether visits are planned on public holidays, too
    sources : where the rules come from, by rule code
    """

    name: str
    version: int
    routine: Mapping[Key, Cell]
    detailed: Mapping[Key, Cell]
    window: WindowRule
    findings: Mapping[Grade, FindingRule]
    after_work_months: Mapping[WorkKind, tuple[int, ...]]
    follow_up_months: tuple[int, ...] = (1, 3, 6, 12)
    first_gaps: int = 3
    first_gap_months: int = 12
    after_work_reading_days: int = 14
    unconfirmed_months: int = 3
    life_ahead_months: int = 6
    life_again_months: int = 6
    baseline_days: int = 60
    coating_life_years: int = 0
    costs: Costs = field(default_factory=Costs)
    visits_on_holidays: bool = False
    sources: Mapping[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        problems = tuple(_problems(self))
        if problems:
            raise InvalidInput(
                f"Policy “{self.name}” can not be used: {'; '.join(problems)}.",
                field="policy",
                code="sch-010",
            )


def governing(
    table: Mapping[Key, Cell],
    kinds: tuple[MemberKind, ...],
    occupancy: Occupancy,
    consequence: Consequence,
) -> tuple[MemberKind, Cell] | None:
    """The shortest interval among the members, and the kind that asks for it.

    A support without members is held to the strictest kind. None if the table has
    nothing for these kinds.
    """
    found: tuple[MemberKind, Cell] | None = None
    for kind in kinds or tuple(MemberKind):
        cell = table.get((kind, occupancy, consequence))
        if cell is not None and (found is None or cell.size < found[1].size):
            found = (kind, cell)
    return found


def _problems(policy: Policy) -> Iterator[str]:
    yield from _table_problems("routine", policy.routine)
    yield from _table_problems("detailed", policy.detailed)
    for kind in MemberKind:
        for occupancy in Occupancy:
            for consequence in Consequence:
                if (kind, occupancy, consequence) not in policy.routine:
                    yield (
                        f"no interval for a {kind}, {occupancy} use beneath, "
                        f"{consequence} consequence"
                    )
    yield from _window_problems(policy.window)
    yield from _month_problems(policy)
    yield from _day_problems(policy)


def _table_problems(name: str, table: Mapping[Key, Cell]) -> Iterator[str]:
    for (kind, occupancy, consequence), cell in table.items():
        where = f"{name} interval for a {kind}, {occupancy}, {consequence}"
        if min(cell.size) < 0 or max(cell.size) == 0:
            yield (
                f"the {where} is {cell.months} months {cell.days} days; "
                "it must be at least 1 day"
            )
        elif cell.months > LONGEST_MONTHS:
            yield (
                f"the {where} is {cell.months} months; more than {LONGEST_MONTHS} "
                "is not a watch"
            )
        if not cell.source.strip():
            yield f"the {where} names no source; say where it comes from"


def _window_problems(window: WindowRule) -> Iterator[str]:
    early = min(window.opens_share, window.opens_days)
    late = min(window.late_share, window.late_days)
    if early < 0:
        yield "the window opens after the due date; days and shares start at 0"
    if late < 0:
        yield "an inspection is late before it is due; days and shares start at 0"
    if max(window.opens_share, window.late_share) >= 0.5:
        yield "a window of half the interval or more runs into the next one"
    most_days = window.short_below_months * DAYS_PER_MONTH / 2
    if max(window.opens_days, window.late_days) >= most_days:
        yield (
            f"a window of {max(window.opens_days, window.late_days)} days is half of "
            f"{window.short_below_months} months or more and runs into the next one"
        )


def _month_problems(policy: Policy) -> Iterator[str]:
    steps = policy.follow_up_months
    if any(a >= b for a, b in zip((0, *steps), steps, strict=False)):
        yield f"follow-ups after {steps} months do not go up from 1"
    for work, months in policy.after_work_months.items():
        if any(a >= b for a, b in zip((0, *months), months, strict=False)):
            yield f"follow-ups after {work}, {months} months, do not go up from 1"
    for name, wait in (
        ("longest of the first gaps", policy.first_gap_months),
        ("wait for a doubtful reading", policy.unconfirmed_months),
        ("look ahead of a service life", policy.life_ahead_months),
        ("interval after a service life", policy.life_again_months),
    ):
        if wait <= 0:
            yield f"the {name} is {wait} months; it must be at least 1"


def _day_problems(policy: Policy) -> Iterator[str]:
    if policy.first_gaps < 0:
        yield f"the first {policy.first_gaps} gaps can not be counted"
    if min(policy.baseline_days, policy.after_work_reading_days) < 0:
        yield "days allowed for a baseline or a reading after work are negative"
    if policy.coating_life_years < 0:
        yield f"a coating can not last {policy.coating_life_years} years"
    for grade, rule in policy.findings.items():
        if min(rule.first_days, rule.again_days) <= 0:
            yield f"the interval for an open finding graded {grade} is not above 0 days"
