"""What one rule says of one support, and what every rule is told."""

from dataclasses import dataclass
from datetime import date, timedelta
from types import MappingProxyType

from monitor.domain.vocabulary import InspectionKind
from monitor.schedule.calendar import DAYS_PER_MONTH, in_words, months_after
from monitor.schedule.closures import Closure
from monitor.schedule.history import FULL_KINDS, History
from monitor.schedule.placing import free_before
from monitor.schedule.policy import Policy

_EVERY_KIND = frozenset(InspectionKind)
_KIND_OF = MappingProxyType(
    {
        "baseline": InspectionKind.BASELINE,
        "detailed-interval": InspectionKind.DETAILED,
        "after-work": InspectionKind.AFTER_WORK,
        "after-event": InspectionKind.AFTER_EVENT,
    }
)


@dataclass(frozen=True, slots=True)
class Reason:
    """What one rule says.

    Attributes
    ----------
    rule : code of the rule
    opens_on, due_on, late_on : its window
    span_days : the interval it stands for; half of it past `late_on` is seriously late
    because : a clause that follows "Due on 14 March 2029: "
    """

    rule: str
    opens_on: date
    due_on: date
    late_on: date
    span_days: int
    because: str

    @property
    def kind(self) -> InspectionKind:
        """The kind of inspection that answers it."""
        return _KIND_OF.get(self.rule, InspectionKind.ROUTINE)

    @property
    def sentence(self) -> str:
        """The whole sentence."""
        return f"Due on {in_words(self.due_on)}: {self.because}."


@dataclass(frozen=True, slots=True)
class Case:
    """One support under one policy on one day, with its visits picked out once.

    Attributes
    ----------
    full : days of inspections that count for an interval
    last : day of the newest inspection of any kind, None if there is none
    """

    history: History
    policy: Policy
    today: date
    full: list[date]
    last: date | None


def case_of(history: History, policy: Policy, today: date) -> Case:
    """Gather what the rules ask for again and again."""
    seen = history.visits(_EVERY_KIND, today)
    return Case(
        history,
        policy,
        today,
        history.visits(FULL_KINDS, today),
        seen[-1] if seen else None,
    )


def closed(history: History, policy: Policy) -> tuple[Closure, ...]:
    """Everything that keeps visits off the site on some days."""
    if history.holidays is None or policy.visits_on_holidays:
        return history.closures
    return (*history.closures, history.holidays)


def windowed(
    case: Case, rule: str, due_on: date, months: float, because: str
) -> Reason:
    """A reason with the window that the policy gives an interval of so many months."""
    window = case.policy.window
    return Reason(
        rule,
        due_on - timedelta(days=window.opening_days(months)),
        due_on,
        due_on + timedelta(days=window.grace_days(months)),
        round(months * DAYS_PER_MONTH),
        because,
    )


def first_unmet(
    case: Case, start_on: date, steps: tuple[int, ...], last_visit: date | None
) -> tuple[int, date] | None:
    """The first follow-up that no visit has met: months and due date, None if none.

    A visit meets every step whose window had opened by then, and a visit brought
    forward out of a no-go season meets the step it was brought forward from.
    """
    if not steps:
        return None
    if last_visit is not None and last_visit >= months_after(start_on, steps[-1]):
        return None
    for months in steps:
        due_on = months_after(start_on, months)
        if last_visit is None or last_visit < _opens_on(case, due_on, abs(months)):
            return months, due_on
    return None


def _opens_on(case: Case, due_on: date, months: int) -> date:
    opens_on = due_on - timedelta(days=case.policy.window.opening_days(months))
    closures = closed(case.history, case.policy)
    if closures:
        free_on = free_before(due_on, closures)
        if free_on is not None:
            return min(opens_on, free_on)
    return opens_on
