"""Work that age calls for: synthetic parts to replace, coatings to renew.

These are proposals for a plan and a budget; a service life is a planning figure and no
guarantee (ISO 12944-1 says so of coatings), and a qualified person decides.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

from monitor.domain.vocabulary import WorkKind
from monitor.schedule.calendar import in_words, month_in_words, months_after
from monitor.schedule.history import Coat, History

PLAN_AHEAD_MONTHS = 12
"""Time to budget and order; common practice, no source."""

REPAINT_WITHIN_MONTHS = 12
"""Once the rust limit is reached; common practice, no source."""


@dataclass(frozen=True, slots=True)
class WorkOwed:
    """Work that is proposed.

    Attributes
    ----------
    part : the part it is for, such as "sling C1"
    plan_on : from when it belongs into a plan
    due_on : by when it should be done
    rule : "service-life", "coating-life" or "coating-limit"
    """

    support_id: UUID
    code: str
    kind: WorkKind
    part: str
    plan_on: date
    due_on: date
    rule: str
    sentence: str


def works_owed(
    history: History, today: date, coating_life_years: int = 0
) -> tuple[WorkOwed, ...]:
    """Every work that age calls for on a support in service, earliest first.

    Parameters
    ----------
    coating_life_years : planned life of a coating that states none and whose rust is
        not measured, 0 for none [yr]
    """
    if history.removed_on is not None and history.removed_on <= today:
        return ()
    owed = [*_replacements(history), *_repaints(history, today, coating_life_years)]
    return tuple(sorted(owed, key=lambda work: work.due_on))


def work_state(work: WorkOwed, today: date) -> str:
    """Where the day stands, in words."""
    if today < work.plan_on:
        return "not yet"
    return "to plan" if today <= work.due_on else "late"


def _replacements(history: History) -> Iterator[WorkOwed]:
    for part, ends_on in history.replace_by:
        yield WorkOwed(
            history.support_id, history.code, WorkKind.REPLACEMENT, part,
            months_after(ends_on, -PLAN_AHEAD_MONTHS), ends_on, "service-life",
            f"Replace the {part} by {in_words(ends_on)}: its service life ends then.",
        )  # fmt: skip


def _repaints(
    history: History, today: date, coating_life_years: int
) -> Iterator[WorkOwed]:
    for coat in (_planned(coat, coating_life_years) for coat in history.coats):
        applied_on = _last_painted(history, coat, today)
        wanted = list(_repaint_dates(coat, applied_on))
        if not wanted:
            continue
        due_on, rule, why = min(wanted)
        yield WorkOwed(
            history.support_id, history.code, WorkKind.REPAINT, coat.label,
            months_after(due_on, -PLAN_AHEAD_MONTHS), due_on, rule,
            f"Renew the coating of the {coat.label} by {in_words(due_on)}: {why}.",
        )  # fmt: skip


def _repaint_dates(coat: Coat, applied_on: date) -> Iterator[tuple[date, str, str]]:
    if coat.life_years is not None and coat.life_years > 0:
        yield (
            months_after(applied_on, 12 * coat.life_years),
            "coating-life",
            f"planned life of {coat.life_years} years from {in_words(applied_on)}",
        )
    limit_on = coat.limit_early_on
    if limit_on is not None and limit_on > applied_on:
        yield (
            months_after(limit_on, REPAINT_WITHIN_MONTHS),
            "coating-limit",
            f"the rust may reach its limit in {month_in_words(limit_on)} at the fast "
            f"bound, and paint should follow within {REPAINT_WITHIN_MONTHS} months",
        )


def _planned(coat: Coat, life_years: int) -> Coat:
    is_told = coat.life_years is not None or coat.is_read
    return coat if is_told or not life_years else replace(coat, life_years=life_years)


def _last_painted(history: History, coat: Coat, today: date) -> date:
    """A repaint of the support counts for every coat on it."""
    renewed = (WorkKind.REPAINT, WorkKind.REPLACEMENT)
    painted = [on for on, kind in history.works if kind in renewed and on <= today]
    return max([coat.applied_on, *painted])
