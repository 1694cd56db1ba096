"""Which inspection is owed on a support, when, and why."""

from datetime import date, datetime, timedelta

from monitor.domain.conclusions import Due
from monitor.domain.vocabulary import InspectionKind
from monitor.schedule.calendar import in_words
from monitor.schedule.closures import Closure
from monitor.schedule.deferral import put_off
from monitor.schedule.history import History, Look
from monitor.schedule.intervals import (
    baseline,
    client_interval,
    duty_interval,
    first_years,
)
from monitor.schedule.placing import Placed, Window, place, place_with_wish
from monitor.schedule.policy import Policy
from monitor.schedule.prompts import (
    after_event,
    after_work,
    open_finding,
    readings,
    service_life,
)
from monitor.schedule.reason import Reason, case_of, closed

__all__ = ["History", "Look", "lateness", "owed", "reasons", "state"]

RULES = (
    baseline,
    open_finding,
    after_event,
    readings,
    after_work,
    service_life,
    client_interval,
    first_years,
    duty_interval,
)
"""Every rule; of those that fall on the same day the earlier in this list governs."""


def owed(history: History, policy: Policy, today: date, now: datetime) -> Due | None:
    """The inspection that is owed next: the earliest that any rule asks for.

    None only when the support is removed. A support in service is never without one.
    """
    if history.removed_on is not None and history.removed_on <= today:
        return None
    said = reasons(history, policy, today)
    first = said[0]
    late_on = min(reason.late_on for reason in said)
    window = Window(first.opens_on, first.due_on, late_on)
    placed = _placed(history, closed(history, policy), window, today)
    return Due(
        support_id=history.support_id,
        kind=_kind(said, placed.on),
        opens_on=min(first.opens_on, placed.on),
        due_on=placed.on,
        late_on=late_on,
        serious_on=_serious_on(first, late_on),
        rule=first.rule,
        sentence=_sentence(first, placed),
        reasons=tuple((r.rule, r.due_on, r.sentence) for r in said),
        computed_at=now,
    )


def reasons(history: History, policy: Policy, today: date) -> tuple[Reason, ...]:
    """Every rule that speaks, with its window and its sentence, earliest first."""
    case = case_of(history, policy, today)
    said = put_off([reason for rule in RULES for reason in rule(case)], case)
    return tuple(sorted(said, key=lambda reason: reason.due_on))


def state(due: Due, today: date) -> str:
    """Where the day stands in the window of what is owed, in words.

    Seriously late is half an interval after the latest day.
    """
    if today < due.opens_on:
        return "not yet"
    if today < due.due_on:
        return "open"
    if today <= due.late_on:
        return "due"
    return "late" if today < due.serious_on else "seriously late"


def lateness(due: Due) -> str:
    """From when it is late, and seriously late, in one sentence."""
    return (
        f"Late after {in_words(due.late_on)}, seriously late from "
        f"{in_words(due.serious_on)}."
    )


def _placed(
    history: History, closures: tuple[Closure, ...], window: Window, today: date
) -> Placed:
    if history.leaf_wish is None:
        return place(window, closures, today)
    return place_with_wish(window, closures, history.leaf_wish.unwished, today)


def _serious_on(first: Reason, late_on: date) -> date:
    """Half an interval of the rule that governs after the latest day allowed."""
    return late_on + timedelta(days=max(1, first.span_days // 2) + 1)


def _kind(said: tuple[Reason, ...], on: date) -> InspectionKind:
    """The kind that governs, or the detailed one where its window is open by then."""
    first = said[0]
    if first.kind is InspectionKind.ROUTINE and any(
        reason.kind is InspectionKind.DETAILED and reason.opens_on <= on
        for reason in said
    ):
        return InspectionKind.DETAILED
    return first.kind


def _sentence(first: Reason, placed: Placed) -> str:
    remark = f"; {placed.remark}" if placed.remark else ""
    return f"Due on {in_words(placed.on)}: {first.because}{remark}."
