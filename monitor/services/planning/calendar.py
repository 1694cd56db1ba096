"""What is owed as calendars, and the secret addresses they are read from."""

import hmac
import os
import secrets
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from hashlib import sha256
from pathlib import Path
from urllib.parse import quote
from uuid import UUID

from monitor.domain.conclusions import Due
from monitor.domain.places import Site
from monitor.exchange.calendar_file import CalendarEntry
from monitor.schedule.calendar import in_words
from monitor.store import Session, records
from monitor.store.overview import OverviewLine, overview

EVERYTHING = "all"
SECRET_FILE = "calendar.secret"
CANCELLED_FOR = timedelta(days=400)
"""How long a calendar is told that a visit is off; own choice."""

_COUNTED_FROM = datetime(2020, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Feed:
    """A calendar one can follow.

    Attributes
    ----------
    scope : "all", or the id of an owner
    """

    scope: str
    name: str


def feeds(session: Session) -> tuple[Feed, ...]:
    """One for all, then one for each owner of a site, by name."""
    owners = {site.owner_id for site in records.SITES.all(session)}
    named = [
        Feed(str(party.id), party.name)
        for party in records.PARTIES.all(session)
        if party.id in owners
    ]
    everything = Feed(EVERYTHING, "all inspections")
    return (everything, *sorted(named, key=lambda feed: feed.name))


def token_of(secret: bytes, scope: str) -> str:
    """What makes the address of a calendar unguessable: 128 bits of an HMAC."""
    return hmac.new(secret, f"calendar:{scope}".encode(), sha256).hexdigest()[:32]


def is_token(secret: bytes, scope: str, token: str) -> bool:
    """Whether the token opens this calendar; takes as long for a near miss."""
    return hmac.compare_digest(token_of(secret, scope).encode(), token.encode())


def calendar_secret(folder: Path) -> bytes:
    """The secret of this installation; made once, readable by its user only.

    Deleting the file ends every calendar address that was given out.
    """
    path = folder / SECRET_FILE
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return path.read_bytes()
    with os.fdopen(handle, "wb") as file:
        file.write(secrets.token_bytes(32))
    return path.read_bytes()


def entries_of(
    session: Session, scope: str, root: str, *, today: date
) -> tuple[CalendarEntry, ...]:
    """One entry a support, by its code; those that were removed are called off.

    Parameters
    ----------
    root : address of these pages, with a slash at its end
    """
    sites = {site.code: site for site in records.SITES.all(session)}
    dues = {due.support_id: due for due in records.DUES.all(session)}
    entries = []
    for line in overview(session):
        site = sites[line.site_code]
        if scope not in (EVERYTHING, str(site.owner_id)):
            continue
        due = dues.get(line.support_id)
        if line.removed_on is None and due is not None:
            entries.append(_entry(line, site, due, root))
        elif line.removed_on is not None and today - line.removed_on < CANCELLED_FOR:
            entries.append(_called_off(line, site, line.removed_on, root))
    return tuple(entries)


def _entry(line: OverviewLine, site: Site, due: Due, root: str) -> CalendarEntry:
    access = f" Access: {site.access_note}." if site.access_note else ""
    return CalendarEntry(
        uid=_uid(line.support_id),
        on=due.due_on,
        summary=f"{line.code}: {due.kind.value} inspection, {line.site}",
        description=(
            f"{due.sentence} It may be done from {in_words(due.opens_on)} and is late "
            f"after {in_words(due.late_on)}.{access}"
        ),
        location=f"{line.site}, {line.tree}",
        url=_address(root, line.code),
        sequence=_sequence(due.computed_at),
        changed_at=due.computed_at,
    )


def _called_off(
    line: OverviewLine, site: Site, removed_on: date, root: str
) -> CalendarEntry:
    noon = datetime(removed_on.year, removed_on.month, removed_on.day, 12, tzinfo=UTC)
    return CalendarEntry(
        uid=_uid(line.support_id),
        on=removed_on,
        summary=f"{line.code}: removed, {line.site}",
        description=f"{line.code} was removed on {in_words(removed_on)}.",
        location=f"{site.name}, {line.tree}",
        url=_address(root, line.code),
        sequence=2**31 - 1,
        changed_at=noon,
        is_cancelled=True,
    )


def _uid(support_id: UUID) -> str:
    return f"inspection-{support_id}@underprop"


def _address(root: str, code: str) -> str:
    return f"{root}supports/{quote(code, safe='')}"


def _sequence(changed_at: datetime) -> int:
    """Minutes since 2020: rises with every change, and a calendar need not be kept."""
    return max(0, int((changed_at - _COUNTED_FROM).total_seconds() // 60))
