"""When one can get in to a site: hours of access, kept with it."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from monitor.domain.places import Site
from monitor.schedule.access_hours import checked_hours, parse_hours
from monitor.services.planning.site_days import site_named
from monitor.services.recording.checks import plain
from monitor.store import Session, records
from monitor.store.ledger import append


def access_by_site(sites: Iterable[Site]) -> dict[str, tuple[int, int]]:
    """Hours of access by the code of the site, of those that have any."""
    return {
        plain(site.code): parse_hours(site.access_hours)
        for site in sites
        if site.access_hours
    }


def keep_hours(
    session: Session, code: str, hours: str, *, actor: str, now: datetime
) -> Site:
    """Keep when one can get in to a site; empty for any time.

    Raises
    ------
    NotFound : no site has that code
    InvalidInput : they are no hours
    """
    was = site_named(session, code)
    told = checked_hours(hours)
    if told == was.access_hours:
        return was
    kept = replace(was, access_hours=told)
    records.SITES.change(session, kept)
    said = {"now": told, "was": was.access_hours}
    append(session, [("hours kept", f"site {was.code}", said)], actor=actor, now=now)
    return kept
