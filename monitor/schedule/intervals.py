"""Rules of the calendar: what is owed whatever the readings say."""

from collections.abc import Iterator
from datetime import timedelta

from monitor.domain.vocabulary import InspectionKind
from monitor.errors import InvalidInput
from monitor.schedule.calendar import Interval, counted, in_words, months_after
from monitor.schedule.policy import governing
from monitor.schedule.reason import Case, Reason, first_unmet, windowed
from monitor.schedule.rhythm import next_beat

_DETAILED_KINDS = frozenset({InspectionKind.DETAILED, InspectionKind.BASELINE})


def baseline(case: Case) -> Iterator[Reason]:
    """Owed from the day of installation until there is one."""
    if case.full:
        return
    installed_on = case.history.installed_on
    late_on = installed_on + timedelta(days=case.policy.baseline_days)
    yield Reason(
        "baseline", installed_on, installed_on, late_on, 365,
        "no baseline is recorded, and every later reading is compared with it",
    )  # fmt: skip


def duty_interval(case: Case) -> Iterator[Reason]:
    """The duty-holder's longest interval, and that of looks within reach."""
    history, policy = case.history, case.policy
    who = (history.kinds, history.occupancy, history.consequence)
    place = f"({history.occupancy} use beneath, {history.consequence} consequence)"
    found = governing(policy.routine, *who)
    if found is not None:
        kind, cell = found
        yield _recurring(
            case, "duty-interval", cell.interval,
            f"at the latest every {cell.interval.in_words()} for a {kind} {place}, "
            f"policy version {policy.version}",
        )  # fmt: skip
    found = governing(policy.detailed, *who)
    if found is not None:
        kind, cell = found
        yield _recurring(
            case, "detailed-interval", cell.interval,
            f"a detailed inspection within reach every {cell.interval.in_words()} for "
            f"a {kind} {place}, policy version {policy.version}",
        )  # fmt: skip


def client_interval(case: Case) -> Iterator[Reason]:
    """An interval set by a client or a statute."""
    months = case.history.client_interval_months
    if months is None:
        return
    if months <= 0:
        raise InvalidInput(
            f"{case.history.code}: a client interval of {months} months can not recur; "
            "give 1 or more, or leave it empty.",
            field="client_interval_months",
            code="sch-004",
        )
    why = case.history.client_interval_reason.strip().rstrip(".")
    setter = f": {why}" if why else " by the client or a statute"
    yield _recurring(
        case, "client-interval", Interval(months=months),
        f"every {counted(months, 'month')}, set{setter}",
    )  # fmt: skip


def first_years(case: Case) -> Iterator[Reason]:
    """Follow-ups while the support settles, and short first gaps."""
    if not case.full:
        return  # without a baseline there is nothing to follow
    policy, last_full = case.policy, case.full[-1]
    unmet = first_unmet(
        case, case.history.installed_on, policy.follow_up_months, last_full
    )
    if unmet is not None:
        months, due_on = unmet
        yield windowed(
            case, "first-year", due_on, months,
            f"follow-up {counted(months, 'month')} after installation, while the "
            "support settles",
        )  # fmt: skip
    if len(set(case.full)) <= policy.first_gaps:
        months = policy.first_gap_months
        yield windowed(
            case, "first-gaps", months_after(last_full, months), months,
            f"at most {counted(months, 'month')} after each of the first "
            f"{counted(policy.first_gaps, 'inspection')}, until the readings show a "
            "course",
        )  # fmt: skip


def _recurring(case: Case, rule: str, interval: Interval, because: str) -> Reason:
    if rule == "detailed-interval":
        visits = case.history.visits(_DETAILED_KINDS, case.today)
    else:
        visits = case.full
    length = interval.length_months
    opening = case.policy.window.opening_days(length)
    beat = next_beat(case.history.installed_on, visits, interval, opening)
    because = f"{because}, counted from {in_words(beat.anchor_on)}"
    return windowed(case, rule, beat.due_on, length, because)
