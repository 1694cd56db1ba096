"""Everything that was decided about days: deferrals, closures, holidays, wishes."""

from dataclasses import dataclass
from datetime import date

from monitor.domain.places import Site
from monitor.domain.scheduling import CrownWish, DeferralEntry, SiteClosure
from monitor.domain.supports import Support
from monitor.services.planning.deferrals import standing_deferrals
from monitor.services.planning.site_days import standing_closures, standing_wishes
from monitor.store import Session, records


@dataclass(frozen=True, slots=True)
class DaysView:
    """What stands today.

    Attributes
    ----------
    closures : with the name of the site; those that are over are left out
    deferrals, wishes : with the code of the support
    sites, supports : those in service, to choose from
    """

    closures: tuple[tuple[SiteClosure, str], ...]
    deferrals: tuple[tuple[DeferralEntry, str], ...]
    wishes: tuple[tuple[CrownWish, str], ...]
    sites: tuple[Site, ...]
    supports: tuple[str, ...]


def days_view(session: Session, today: date) -> DaysView:
    """Gather it."""
    sites = {site.id: site for site in records.SITES.all(session)}
    standing = [s for s in records.SUPPORTS.all(session) if s.removed_on is None]
    codes = {support.id: support.code for support in standing}
    return DaysView(
        tuple(
            (closure, sites[closure.site_id].name)
            for closure in standing_closures(session)
            if closure.last_on >= today
        ),
        tuple(_deferrals(session, standing)),
        tuple(
            (wish, codes[wish.support_id])
            for wish in standing_wishes(session)
            if wish.support_id in codes
        ),
        tuple(sorted(sites.values(), key=lambda site: (site.name, site.code))),
        tuple(sorted(codes.values())),
    )


def _deferrals(
    session: Session, supports: list[Support]
) -> list[tuple[DeferralEntry, str]]:
    put_off = {one.support_id for one in records.DEFERRALS.current(session)}
    return [
        (one, support.code)
        for support in supports
        if support.id in put_off
        for one in standing_deferrals(session, support)
    ]
