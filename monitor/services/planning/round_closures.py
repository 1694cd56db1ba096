"""What keeps a visit of a round off some days: the same closures as move its due."""

from collections.abc import Sequence
from datetime import date
from uuid import UUID

from monitor.domain.places import Site
from monitor.schedule.closures import Closure
from monitor.schedule.leaf import LeafWish
from monitor.schedule.placing import free_after
from monitor.schedule.policy import Policy
from monitor.schedule.public_holidays import PublicHolidays
from monitor.schedule.seasons import parse_seasons
from monitor.services.assessing.fleet import blackouts_at, crown_wishes
from monitor.services.planning.policy import policy_in_force
from monitor.store import Session
from monitor.store.overview import OverviewLine


def closures_by_support(
    session: Session,
    lines: Sequence[OverviewLine],
    sites: dict[str, Site],
    first_on: date,
) -> dict[UUID, tuple[Closure, ...]]:
    """Seasons, closed days, holidays, and wishes for a crown that can still be met."""
    places = {line.support_id: sites[line.site_code].id for line in lines}
    blackouts = blackouts_at(session, places)
    wishes = crown_wishes(session, list(places))
    policy = policy_in_force(session)
    found = {}
    for line in lines:
        key, site = line.support_id, sites[line.site_code]
        closures: tuple[Closure, ...] = (
            *parse_seasons(site.quiet_seasons),
            *blackouts.get(key, ()),
            *_holidays(site, policy),
        )
        wish, late_on = wishes.get(key), line.late_on or date.max
        if wish is not None and _can_be_met(wish, closures, first_on, late_on):
            closures = (*closures, wish.unwished)
        found[key] = closures
    return found


def _holidays(site: Site, policy: Policy) -> tuple[Closure, ...]:
    if not site.holiday_region or policy.visits_on_holidays:
        return ()
    return (PublicHolidays(site.holiday_region),)


def _can_be_met(
    wish: LeafWish, closures: Sequence[Closure], first_on: date, late_on: date
) -> bool:
    """Whether a free day in the wished state is left before the visit is late."""
    on = free_after(first_on, (*closures, wish.unwished))
    return on is not None and on <= late_on
