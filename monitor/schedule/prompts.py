"""Rules that answer to something: readings, work, service life, an open finding."""

from collections.abc import Iterator
from datetime import date, timedelta

from monitor.domain.vocabulary import EventKind, Grade, InspectionKind
from monitor.schedule.calendar import (
    DAYS_PER_MONTH,
    Interval,
    counted,
    in_words,
    month_in_words,
    months_after,
    next_occurrence,
)
from monitor.schedule.history import FULL_KINDS, EventLook, Look
from monitor.schedule.reason import Case, Reason, first_unmet, windowed

_AFTER_WORK_KINDS = FULL_KINDS | {InspectionKind.AFTER_WORK}


def readings(case: Case) -> Iterator[Reason]:
    """What the analysis wants: it may only shorten the duty-holder's interval."""
    for look in case.history.looks:
        if look.unconfirmed:
            yield _repeat(case, look)
        else:
            yield _look_again(case, look)


def after_work(case: Case) -> Iterator[Reason]:
    """A reading right after work, then its follow-ups."""
    if not case.history.works:
        return
    seen = case.history.visits(_AFTER_WORK_KINDS, case.today)
    last = seen[-1] if seen else None
    for done_on, work in case.history.works:
        follow_ups = case.policy.after_work_months.get(work)
        if follow_ups is None or done_on > case.today:
            continue
        if last is None or last < done_on:
            yield _reading_after(case, done_on, work)
            continue
        unmet = first_unmet(case, done_on, follow_ups, last)
        if unmet is not None:
            months, due_on = unmet
            yield windowed(
                case, "after-work", due_on, months,
                f"follow-up {counted(months, 'month')} after the {work} of "
                f"{in_words(done_on)}",
            )  # fmt: skip


def service_life(case: Case) -> Iterator[Reason]:
    """A look ahead of the end of a synthetic part's life, and again after it."""
    ahead, again = case.policy.life_ahead_months, case.policy.life_again_months
    last_full = case.full[-1] if case.full else None
    for label, ends_on in case.history.replace_by:
        why = f"the service life of the {label} ends on {in_words(ends_on)}"
        unmet = first_unmet(case, ends_on, (-ahead, 0), last_full)
        if unmet is not None and unmet[0] < 0:
            why += f"; look {counted(ahead, 'month')} ahead of it"
            yield windowed(case, "service-life", unmet[1], ahead, why)
        elif unmet is not None or last_full is None:
            yield windowed(case, "service-life", ends_on, again, why)
        else:
            opening = timedelta(days=case.policy.window.opening_days(again))
            on = next_occurrence(ends_on, Interval(months=again), last_full + opening)
            why += f"; look every {counted(again, 'month')} until it is replaced"
            yield windowed(case, "service-life", on, again, why)


def after_event(case: Case) -> Iterator[Reason]:
    """Extra looks after events; the same event entered twice asks only once."""
    asked: dict[tuple[EventKind, date], EventLook] = {}
    for look in case.history.events:
        key = (look.kind, look.happened_on)
        if key not in asked or look.done_by_on < asked[key].done_by_on:
            asked[key] = look
    for look in asked.values():
        answered_on = _answered_on(case, look)
        if answered_on is None:
            yield _event_reason(look, look.happened_on, look.done_by_on)
        elif look.again_days is not None:
            again_on = answered_on + timedelta(days=look.again_days)
            yield _event_reason(look, answered_on, again_on)


def open_finding(case: Case) -> Iterator[Reason]:
    """Looks while a grave finding is open."""
    if case.history.worst_finding is None:
        return
    label, grade, seen_on = case.history.worst_finding
    rule = case.policy.findings.get(grade)
    if rule is None or seen_on > case.today:
        return
    has_looked = case.last is not None and case.last > seen_on
    since = case.last if has_looked and case.last is not None else seen_on
    days = rule.again_days if has_looked else rule.first_days
    due_on = since + timedelta(days=days)
    grace = timedelta(days=case.policy.window.grace_days(days / DAYS_PER_MONTH))
    late_on = due_on if grade is Grade.MAKE_SAFE else due_on + grace
    yield Reason(
        "open-finding", since + timedelta(days=1), due_on,
        late_on, days,
        f"a finding graded {grade} is open since {in_words(seen_on)} ({label}): look "
        f"again within {counted(days, 'day')} until it is closed",
    )  # fmt: skip


def _answered_on(case: Case, look: EventLook) -> date | None:
    """Day of the newest inspection that saw the support after the event, if any.

    On the day itself only a look after the event is known to be later.
    """
    answers = [
        on
        for on, kind in case.history.inspections
        if on <= case.today
        and (
            on > look.happened_on
            or (on == look.happened_on and kind is InspectionKind.AFTER_EVENT)
        )
    ]
    return answers[-1] if answers else None


def _event_reason(look: EventLook, opens_on: date, due_on: date) -> Reason:
    due_on = max(opens_on, due_on)
    again = (
        f"; again every {counted(look.again_days, 'day')} while it lasts"
        if look.again_days
        else ""
    )
    return Reason(
        "after-event", opens_on, due_on, due_on, max(2, (due_on - opens_on).days),
        f"after the {look.label} on {in_words(look.happened_on)}{again}",
    )  # fmt: skip


def _reading_after(case: Case, done_on: date, work: str) -> Reason:
    days = case.policy.after_work_reading_days
    return Reason(
        "after-work", done_on, done_on,
        done_on + timedelta(days=days), 2 * days,
        f"nothing has been read since the {work} of {in_words(done_on)}, so what "
        "follows has no start",
    )  # fmt: skip


def _repeat(case: Case, look: Look) -> Reason:
    since = case.last or case.history.installed_on
    latest_on = months_after(since, case.policy.unconfirmed_months)
    due_on = min(look.look_again_on, latest_on)
    return Reason(
        "unconfirmed", min(since, due_on), due_on, due_on,
        round(case.policy.unconfirmed_months * DAYS_PER_MONTH),
        f"the newest reading of the {look.label} is doubtful; repeat it as soon as "
        f"possible, within {counted(case.policy.unconfirmed_months, 'month')} at most",
    )  # fmt: skip


def _look_again(case: Case, look: Look) -> Reason:
    since = case.last or case.history.installed_on
    due_on = look.look_again_on
    span = max(1, (due_on - since).days)
    window = case.policy.window
    late_on = due_on + timedelta(days=window.grace_days(span / DAYS_PER_MONTH))
    if look.act_early_on is not None:
        late_on = max(due_on, min(late_on, look.act_early_on))
    return Reason(
        "look-again",
        due_on - timedelta(days=window.opening_days(span / DAYS_PER_MONTH)),
        due_on, late_on, span, _why_look(look),
    )  # fmt: skip


def _why_look(look: Look) -> str:
    why = look.rule.strip().rstrip(".") or "the readings want another look"
    if look.label and look.label not in why:
        why = f"{look.label}: {why}"
    if look.act_early_on is None or "fast bound" in why:
        return why
    return f"{why} (as early as {month_in_words(look.act_early_on)} at the fast bound)"
