"""What the plan of the years is drawn from: one line a support, out of the record."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from monitor.domain.conclusions import Due, Outlook
from monitor.domain.vocabulary import (
    Consequence,
    InspectionKind,
    Occupancy,
    WorkKind,
)
from monitor.schedule.costs import Costs
from monitor.schedule.effect import standing_months
from monitor.schedule.history import History
from monitor.schedule.policy import Policy
from monitor.schedule.upkeep import WorkOwed, works_owed
from monitor.schedule.visit_minutes import learn_minutes, minutes_of
from monitor.schedule.years import (
    DAYS_PER_MONTH,
    LimitTime,
    Owing,
    PastRate,
    PlannedWork,
)
from monitor.services.assessing.fleet import Fleet
from monitor.services.assessing.histories import histories
from monitor.services.planning.plan import outlooks_of
from monitor.services.planning.rounds import WEIGHTS, past_visits
from monitor.store import Session, records
from monitor.store.overview import OverviewLine, overview

WAY_MIN = 12.0
"""On the way for one visit in a round; common practice, no source."""
WORK_MIN = {WorkKind.REPAINT: 135.0, WorkKind.REPLACEMENT: 120.0}
"""Common practice, no source."""
LOOKED_BACK_YEARS = 10
UNPLANNED = (InspectionKind.AFTER_EVENT, InspectionKind.AFTER_WORK)
_NEVER_MONTHS = 1200.0
"""Dates beyond 100 years are not named; the share grows straight until then."""


@dataclass(frozen=True, slots=True)
class _Known:
    """What else is known of a support."""

    line: OverviewLine
    due: Due
    owner: str
    minutes: float
    outlooks: Iterable[Outlook]


def owing_of(
    session: Session, fleet: Fleet, policy: Policy, today: date
) -> list[Owing]:
    """Every support in service that is owed something."""
    outlooks = outlooks_of(session, None)
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
        known = _Known(lines[key], due, owner, minutes, outlooks.get(key, ()))
        found.append(_one(history, policy, known, today))
    return found


def past_rate(fleet: Fleet, today: date) -> PastRate:
    """Visits that nobody planned, in the last ten years."""
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


def limit_time(outlook: Outlook, today: date) -> LimitTime | None:
    """When a series may reach its act limit; None if nothing is concluded.

    A date that is not within 100 years counts as 100 years, which errs towards sooner.
    """
    if outlook.refusal or outlook.act_level is None:
        return None
    beyond = outlook.p_beyond_act or 0.0
    months, shares = [0.0], [beyond]
    dates = outlook.act_on
    for on, share in ((dates.early, 0.05), (dates.median, 0.5), (dates.late, 0.95)):
        at = _NEVER_MONTHS if on is None else (on - today).days / DAYS_PER_MONTH
        at = max(at, months[-1])
        if share > shares[-1]:
            months.append(at)
            shares.append(share)
        if on is None:
            break
    return LimitTime(tuple(months), tuple(shares))


def _one(history: History, policy: Policy, known: _Known, today: date) -> Owing:
    line, due, costs = known.line, known.due, policy.costs
    every = standing_months(history, policy)
    owed = works_owed(history, today, policy.coating_life_years)
    limits = (limit_time(outlook, today) for outlook in known.outlooks)
    return Owing(
        code=line.code,
        site=line.site,
        owner=known.owner,
        opens_on=max(today, due.opens_on),
        late_on=max(today, due.late_on),
        every_months=every,
        visit_min=known.minutes,
        visit_cost=costs.of_visit(due.kind, known.minutes),
        weight=WEIGHTS[line.standing] if line.standing else 1.0,
        target=_target(history),
        works=tuple(_planned(work, costs, today) for work in owed),
        looks=tuple(_looks(known.outlooks, every, today)),
        limits=tuple(limit for limit in limits if limit is not None),
    )


def _target(history: History) -> int:
    """Use beneath first, then what a failure would do; 0 is gravest."""
    use = list(Occupancy).index(history.occupancy)
    return use * len(Consequence) + list(Consequence).index(history.consequence)


def _planned(work: WorkOwed, costs: Costs, today: date) -> PlannedWork:
    minutes = WORK_MIN.get(work.kind, 60.0)
    on = work.due_on
    month = 12 * (on.year - today.year) + on.month - today.month
    return PlannedWork(max(0, month), minutes, costs.of_work(work.kind, minutes))


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
