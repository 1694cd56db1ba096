"""Works that age calls for: synthetic parts to replace, coatings to renew."""

from collections.abc import Sequence
from datetime import date
from uuid import UUID

from monitor.schedule.upkeep import WorkOwed, work_state, works_owed
from monitor.services.assessing.fleet import load_fleet
from monitor.services.assessing.histories import histories
from monitor.services.planning.plan import outlooks_of
from monitor.services.planning.policy import policy_in_force
from monitor.store import Session
from monitor.store.ageing import with_ageing_parts

FEW = 2000
"""So many supports are asked for one by one; beyond that all are read at once."""


def works_due(
    session: Session, support_ids: Sequence[UUID] | None, *, today: date
) -> tuple[WorkOwed, ...]:
    """Works to plan now, or late already, on these supports, on all if None."""
    works = works_ahead(session, support_ids, today=today)
    return tuple(work for work in works if work_state(work, today) != "not yet")


def works_ahead(
    session: Session, support_ids: Sequence[UUID] | None, *, today: date
) -> tuple[WorkOwed, ...]:
    """Every work that age will call for, by its date."""
    if support_ids is None:
        found_ids = with_ageing_parts(session)
        support_ids = found_ids if len(found_ids) <= FEW else None
    fleet = load_fleet(session, support_ids)
    outlooks = outlooks_of(session, support_ids)
    policy = policy_in_force(session)
    found = [
        work
        for history in histories(fleet, outlooks, {}, policy)
        for work in works_owed(history, today, policy.coating_life_years)
    ]
    return tuple(sorted(found, key=lambda work: (work.due_on, work.code, work.part)))
