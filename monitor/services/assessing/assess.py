"""Assess supports anew: what their readings say, how they stand, what is owed next.

Facts in, conclusions out; nothing that was recorded changes. The answer for one
support depends on its own facts alone, so assessing one or all gives the same.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from uuid import UUID

from monitor.clock import local_date
from monitor.domain.conclusions import Outlook, SupportStanding
from monitor.domain.standing import MarginWord, standing_of
from monitor.services.assessing.calibrate import numbers_in_force
from monitor.services.assessing.fleet import Fleet, load_fleet
from monitor.services.assessing.histories import longest_interval_years
from monitor.services.assessing.outlooks import outlooks_of_series
from monitor.services.assessing.series import series_of
from monitor.services.margins.fleet import margin_words
from monitor.services.notices.raising import raise_escalations
from monitor.services.planning.plan import plan
from monitor.services.planning.policy import policy_in_force
from monitor.store import Session, records
from monitor.store.alone import CONCLUSIONS, decide_alone
from monitor.store.conclusions import delete_outlooks
from monitor.store.stale import mark_fresh, stale_supports


def assess_all(session: Session, *, now: datetime) -> int:
    """Assess the whole installed base; how many series were looked at."""
    return assess(session, None, now=now)


def assess_stale(session: Session, *, now: datetime) -> int:
    """Assess the supports whose facts changed since they were last assessed."""
    stale = sorted(stale_supports(session))
    return assess(session, stale, now=now) if stale else 0


def assess(
    session: Session, support_ids: Sequence[UUID] | None, *, now: datetime
) -> int:
    """Assess these supports, all if None, and plan their inspections.

    Returns
    -------
    Number of series looked at.
    """
    decide_alone(session, CONCLUSIONS)
    fleet = load_fleet(session, support_ids)
    table = series_of(session, fleet)
    days = {key: local_date(now, site.timezone) for key, site in fleet.sites.items()}
    policy = policy_in_force(session)
    longest = {
        key: longest_interval_years(fleet, key, policy) for key in fleet.supports
    }
    numbers = numbers_in_force(session)
    outlooks = outlooks_of_series(table, days, longest, numbers, now)
    delete_outlooks(session, fleet.supports)
    records.OUTLOOKS.add(session, outlooks)
    margins = margin_words(fleet, table, outlooks, days)
    records.STANDINGS.put(session, standings(fleet, outlooks, margins, days, now))
    plan(session, support_ids, now=now, margins=margins)
    raise_escalations(session, support_ids, now=now)
    mark_fresh(session, fleet.supports)
    return len(table.series)


def standings(
    fleet: Fleet,
    outlooks: list[Outlook],
    margins: Mapping[UUID, tuple[MarginWord, ...]],
    days: dict[UUID, date],
    now: datetime,
) -> list[SupportStanding]:
    """How each support in service stands."""
    by_support: dict[UUID, list[Outlook]] = defaultdict(list)
    for outlook in outlooks:
        by_support[outlook.support_id].append(outlook)
    found = []
    for key, support in fleet.supports.items():
        if support.removed_on is not None:
            continue
        verdict = standing_of(
            tuple(by_support[key]),
            tuple(fleet.findings.get(key, ())),
            days[key],
            margins.get(key, ()),
        )
        found.append(
            SupportStanding(key, verdict.standing, verdict.reasons, days[key], now)
        )
    return found
