"""What is owed as calendars, and the secret addresses they are read from."""

import hmac
from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from hashlib import sha256
from pathlib import Path
from urllib.parse import quote
from uuid import UUID, uuid5

from monitor.domain.conclusions import Due
from monitor.domain.places import Site
from monitor.exchange.calendar_file import CalendarEntry
from monitor.schedule.calendar import in_words
from monitor.services.notices.recipients import active_recipients
from monitor.services.planning.calendar_rounds import (
    people_with_rounds,
    round_entries,
)
from monitor.services.recording.checks import plain
from monitor.services.secret import own_secret
from monitor.store import Session, records
from monitor.store.calendar_shown import Shown, shown_in
from monitor.store.overview import OverviewLine, overview

EVERYTHING = "all"
SECRET_FILE = "calendar.secret"
CANCELLED_FOR = timedelta(days=400)
"""How long a calendar is told that a visit is off; own choice."""

_ROUNDS = UUID("6b1c6f0e-53a5-4a5e-9a0e-2f7c1f5f1b11")
"""Names the calendars of people by what they are called; drawn once at random."""

_COUNTED_FROM = datetime(2020, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Feed:
    """A calendar one can follow.

    Attributes
    ----------
    scope : "all", or the id of an owner or of a person who is told
    sites : ids of the sites it shows
    person : whose calendar it is; empty for that of an owner or of all
    has_rounds : whether agreed rounds are in it: those of the person, or all of them
    """

    scope: str
    name: str
    sites: frozenset[UUID]
    person: str = ""
    has_rounds: bool = False


def feeds(session: Session) -> tuple[Feed, ...]:
    """One for all, one for each owner of a site, one for each person who is told."""
    sites = records.SITES.all(session)
    every = frozenset(site.id for site in sites)
    owned: dict[UUID, set[UUID]] = defaultdict(set)
    for site in sites:
        owned[site.owner_id].add(site.id)
    owners = [
        Feed(str(party.id), party.name, frozenset(owned[party.id]))
        for party in records.PARTIES.all(session)
        if party.id in owned
    ]
    people = [
        Feed(
            str(one.id),
            f"what {one.name} answers for",
            frozenset(map(UUID, one.sites)) or every,
            one.name,
            has_rounds=True,
        )
        for one in active_recipients(session)
    ]
    everything = Feed(EVERYTHING, "all inspections", every, has_rounds=True)
    going = _of_who_goes(session, {plain(feed.person) for feed in people})
    named = sorted((*owners, *people, *going), key=lambda feed: feed.name)
    return (everything, *named)


def _of_who_goes(session: Session, told: Collection[str]) -> list[Feed]:
    """One for each person with rounds who has no calendar yet; nothing else is in it.

    A person whose account was disabled has none.
    """
    shut = {plain(one.name) for one in records.ACCOUNTS.all(session)
            if not one.is_active}  # fmt: skip
    names = {plain(name): name for name in people_with_rounds(session)}
    return [
        Feed(
            str(uuid5(_ROUNDS, key)), f"the rounds of {name}", frozenset(), name,
            has_rounds=True,
        )
        for key, name in names.items()
        if key not in told and key not in shut
    ]  # fmt: skip


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
    return own_secret(folder, SECRET_FILE)


def entries_of(
    session: Session, feed: Feed, root: str, *, today: date
) -> tuple[CalendarEntry, ...]:
    """One entry a support, by its code; what went out of the calendar is called off.

    Parameters
    ----------
    root : address of these pages, with a slash at its end
    """
    memory = shown_in(session, feed.scope)
    sites = {site.code: site for site in records.SITES.all(session)}
    dues = {due.support_id: due for due in records.DUES.all(session)}
    entries = []
    for line in overview(session):
        site, due = sites[line.site_code], dues.get(line.support_id)
        shown = memory.get(line.support_id)
        is_in = site.id in feed.sites and line.removed_on is None
        if is_in and due is not None:
            entries.append(_entry(line, site, due, shown, root))
        elif shown is not None and _is_told(shown.gone_at, today):
            entries.append(_gone(line, shown.gone_at or shown.since_at))
    if feed.has_rounds:
        entries += round_entries(session, feed.person, root, today - CANCELLED_FOR)
    return tuple(entries)


def _is_told(gone_at: datetime | None, today: date) -> bool:
    return gone_at is not None and today - gone_at.date() < CANCELLED_FOR


def _entry(
    line: OverviewLine, site: Site, due: Due, shown: Shown | None, root: str
) -> CalendarEntry:
    changed_at = max(due.computed_at, shown.since_at) if shown else due.computed_at
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
        sequence=_sequence(changed_at),
        changed_at=changed_at,
    )


def _gone(line: OverviewLine, gone_at: datetime) -> CalendarEntry:
    """Call off what this calendar showed before, and say nothing more of it."""
    why = "was removed" if line.removed_on else "is no longer in this calendar"
    return CalendarEntry(
        uid=_uid(line.support_id),
        on=gone_at.date(),
        summary=f"{line.code} {why}",
        description=f"{line.code} {why}.",
        location="",
        url="",
        sequence=_sequence(gone_at) + 1,
        changed_at=gone_at,
        is_cancelled=True,
    )


def _uid(support_id: UUID) -> str:
    return f"inspection-{support_id}@underprop"


def _address(root: str, code: str) -> str:
    return f"{root}supports/{quote(code, safe='')}"


def _sequence(changed_at: datetime) -> int:
    """Minutes since 2020: rises with every change, and a calendar need not be kept."""
    return max(0, int((changed_at - _COUNTED_FROM).total_seconds() // 60))
