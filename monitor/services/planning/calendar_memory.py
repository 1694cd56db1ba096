"""Noting what each calendar shows; a calendar that is only read changes nothing."""

from datetime import datetime
from uuid import UUID

from monitor.services.planning.calendar import feeds
from monitor.store import Session, records
from monitor.store.calendar_shown import note_shown_in
from monitor.store.overview import overview


def note_shown(session: Session, *, now: datetime) -> int:
    """Note for every calendar what it shows now; how many entries came or went."""
    site_ids = {site.code: site.id for site in records.SITES.all(session)}
    owing = {due.support_id for due in records.DUES.all(session)}
    by_support: dict[UUID, UUID] = {
        line.support_id: site_ids[line.site_code]
        for line in overview(session)
        if line.removed_on is None and line.support_id in owing
    }
    return sum(
        note_shown_in(
            session,
            feed.scope,
            [key for key, site in by_support.items() if site in feed.sites],
            now=now,
        )
        for feed in feeds(session)
    )
