"""The plan of the coming years from policy, outlooks and works that age calls for."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from monitor.clock import local_date
from monitor.domain.conclusions import Due, Outlook
from monitor.domain.vocabulary import InspectionKind, WorkKind
from monitor.schedule.calendar import month_in_words as in_month
from monitor.schedule.effect import standing_months
from monitor.schedule.history import History
from monitor.schedule.policy import Policy
from monitor.schedule.upkeep import works_owed
from monitor.schedule.visit_minutes import learn_minutes, minutes_of
from monitor.schedule.years import (
    DAYS_PER_MONTH,
    Owing,
    PastRate,
    Undone,
    YearPlan,
    plan_years,
    undone,
)
from monitor.services.assessing.fleet import Fleet, load_fleet
from monitor.services.assessing.histories import histories
from monitor.services.planning.plan import outlooks_of
from monitor.services.planning.policy import policy_in_force
from monitor.services.planning.rounds import WEIGHTS, past_visits
from monitor.store import Session, records
from monitor.store.overview import OverviewLine, overview

WAY_MIN = 12.0
"""On the way for one visit in a round; common practice, no source."""
WORK_MIN = {WorkKind.REPAINT: 135.0, WorkKind.REPLACEMENT: 120.0}
"""Common practice, no source."""
LOOKED_BACK_YEARS = 10
UNPLANNED = (InspectionKind.AFTER_EVENT, InspectionKind.AFTER_WORK)


@dataclass(frozen=True, slots=True)
class YearsView:
    """The plan, and what stays undone with so many hours, if they were given."""

    plan: YearPlan
    supports: int
    undone: Undone | None


def years_view(
    session: Session, years: int, hours_a_year: float | None, *, now: datetime
) -> YearsView:
    """Plan so many years ahead."""
    today = local_date(now, "UTC")
    fleet = load_fleet(session)
    owing = _owing(session, fleet, today)
    plan = plan_years(owing, _rate(fleet, today), today, years)
    left = None if hours_a_year is None else undone(owing, plan, hours_a_year)
    return YearsView(plan, len(owing), left)


def told(view: YearsView) -> list[str]:
    """The plan as sentences, the first one the answer."""
    plan = view.plan
    pairs = zip(plan.visits_by_year, plan.hours_by_year, strict=True)
    lines = [
        f"Year {n}, from {in_month(plan.months[12 * n - 12].starts_on)}: "
        f"{visits.median:.0f} visits ({visits.low:.0f} to {visits.high:.0f}), "
        f"{hours.median:.0f} h ({hours.low:.0f} to {hours.high:.0f})."
        for n, (visits, hours) in enumerate(pairs, start=1)
    ]
    lines.append(
        f"For {view.supports} supports and {plan.works} works that age calls for. Nine "
        "years of ten should fall between the bounds if all goes on as it did; the "
        "minutes are common practice, no source."
    )
    if view.undone is not None:
        lines.append(undone_in_words(view.undone))
    return lines


def undone_in_words(left: Undone) -> str:
    """What stays undone, and that this is no advice."""
    if not left.codes:
        return "These hours are enough for a middling year; a bad one wants more."
    shown = ", ".join(left.codes[:12])
    more = f" and {len(left.codes) - 12} more" if len(left.codes) > 12 else ""
    return (
        f"{left.hours_short:.0f} h a year are missing. Taking what stands best first, "
        f"{len(left.codes)} supports would go without their standing visits: "
        f"{shown}{more}. The risk of these is then not known; the duty-holder decides."
    )


def _owing(session: Session, fleet: Fleet, today: date) -> list[Owing]:
    outlooks = outlooks_of(session, None)
    policy = policy_in_force(session)
    owners = {party.id: party.name for party in records.PARTIES.all(session)}
    lines = {line.support_id: line for line in overview(session)}
    dues = {due.support_id: due for due in records.DUES.all(session)}
    learnt = learn_minutes(past_visits(session, list(lines.values())))
    found = []
    for history in histories(fleet, outlooks, {}, policy):
        key = history.support_id
        due = dues.get(key)
        if due is None or history.removed_on is not None:
            continue
        minutes = minutes_of(due.kind, history.kinds, learnt).minutes + WAY_MIN
        owner = owners[fleet.sites[key].owner_id]
        known = (lines[key], owner, minutes, outlooks.get(key, ()))
        found.append(_one(history, due, policy, known, today))
    return found


def _one(
    history: History,
    due: Due,
    policy: Policy,
    known: tuple[OverviewLine, str, float, Iterable[Outlook]],
    today: date,
) -> Owing:
    line, owner, minutes, outlooks = known
    every = standing_months(history, policy)
    works = tuple(
        (max(0, (w.due_on - today).days // 30), WORK_MIN.get(w.kind, 60.0))
        for w in works_owed(history, today, policy.coating_life_years)
    )
    return Owing(
        code=line.code,
        site=line.site,
        owner=owner,
        opens_on=max(today, due.opens_on),
        late_on=max(today, due.late_on),
        every_months=every,
        visit_min=minutes,
        weight=WEIGHTS[line.standing] if line.standing else 1.0,
        works=works,
        looks=tuple(_looks(outlooks, every, today)),
    )


def _looks(
    outlooks: Iterable[Outlook], every_months: float, today: date
) -> list[tuple[float, float]]:
    """Half of the time to the act limit, where that is shorter than the interval."""
    looks = []
    for outlook in outlooks:
        dates = outlook.act_on
        if dates.early is None or dates.early <= today:
            continue
        early = (dates.early - today).days / DAYS_PER_MONTH / 2
        likely = dates.median or dates.early + timedelta(days=3650)
        if early < every_months:
            looks.append((early, (likely - today).days / DAYS_PER_MONTH / 2))
    return looks


def _rate(fleet: Fleet, today: date) -> PastRate:
    since = today - timedelta(days=round(365.25 * LOOKED_BACK_YEARS))
    count = sum(
        visit.kind in UNPLANNED and since < visit.inspected_on <= today
        for visits in fleet.inspections.values()
        for visit in visits
    )
    days = sum(
        max(0, (min(s.removed_on or today, today) - max(s.installed_on, since)).days)
        for s in fleet.supports.values()
    )
    return PastRate(count, days / 365.25)
