"""Putting an inspection off: a reason, a name, a limit, and always in plain sight."""

from dataclasses import replace
from datetime import date, timedelta

from monitor.errors import InvalidInput
from monitor.schedule.calendar import in_words
from monitor.schedule.history import Deferral
from monitor.schedule.reason import Case, Reason

HELD_FAST = frozenset({"open-finding", "unconfirmed", "after-event"})
"""Rules that can not be put off: someone has already seen a cause to look."""


def latest_deferral_on(reason: Reason) -> date:
    """The last day before the inspection would be seriously late."""
    return reason.late_on + timedelta(days=max(1, reason.span_days // 2))


def check_deferral(deferral: Deferral, reason: Reason) -> None:
    """Refuse a deferral of `reason`, the rule that governs, that can not stand.

    Raises
    ------
    InvalidInput
        if reason or name is missing, the rule can not be put off, or the day is no
        later than it is due or beyond the limit
    """
    for what, field in ((deferral.reason, "reason"), (deferral.name, "name")):
        if not what.strip():
            raise _refusal(f"A deferral needs a {field}.", field)
    if reason.rule in HELD_FAST:
        raise _refusal(f"This can not be put off: {reason.because}.", "from_on")
    if deferral.from_on != reason.due_on:
        raise _refusal(
            f"The inspection is due on {in_words(reason.due_on)}, not on "
            f"{in_words(deferral.from_on)}; reload and decide again.",
            "from_on",
        )
    if deferral.until_on <= max(deferral.from_on, deferral.given_on):
        raise _refusal(
            f"{in_words(deferral.until_on)} puts nothing off: it is not later than the "
            "day it is due and the day of the decision.",
            "until_on",
        )
    limit_on = latest_deferral_on(reason)
    if deferral.until_on > limit_on:
        raise _refusal(
            f"{in_words(deferral.until_on)} is too late: this can be put off until "
            f"{in_words(limit_on)}, half an interval after the latest day allowed.",
            "until_on",
        )


def put_off(said: list[Reason], case: Case) -> list[Reason]:
    """What the rules say, with the deferrals in force; each stays in the sentence."""
    deferrals = [d for d in case.history.deferrals if _is_in_force(d, case)]
    if not deferrals:
        return said
    return [_put_off_one(reason, deferrals) for reason in said]


def _is_in_force(deferral: Deferral, case: Case) -> bool:
    if deferral.given_on > case.today:
        return False
    return not case.full or case.full[-1] < deferral.given_on


def _put_off_one(reason: Reason, deferrals: list[Deferral]) -> Reason:
    if reason.rule in HELD_FAST:
        return reason
    limit_on = latest_deferral_on(reason)
    due_on, because = reason.due_on, reason.because
    for deferral in deferrals:
        if deferral.from_on <= due_on < deferral.until_on <= limit_on:
            because += (
                f"; deferred from {in_words(due_on)} by {deferral.name}: "
                f"{deferral.reason.rstrip('.')}"
            )
            due_on = deferral.until_on
    if due_on == reason.due_on:
        return reason
    return replace(
        reason,
        due_on=due_on,
        late_on=due_on,
        span_days=2 * (limit_on - due_on).days,
        because=because,
    )


def _refusal(message: str, field: str) -> InvalidInput:
    return InvalidInput(message, field=field, code="sch-007")
