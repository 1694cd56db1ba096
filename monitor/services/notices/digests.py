"""The weekly digest: what is owed on the supports a person answers for."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from monitor.clock import local_date
from monitor.domain.notices import (
    NoticeLine,
    Recipient,
    digest_period,
    last_digest_at,
)
from monitor.domain.vocabulary import Standing
from monitor.services.notices.confirming import is_confirmed
from monitor.services.notices.matters import SAID, page_of
from monitor.services.notices.recipients import active_recipients
from monitor.services.showing.register import DueLine, Owed, owed_lines
from monitor.store import Session, outbox, records
from monitor.store.overview import OverviewLine, overview

AHEAD = timedelta(days=7)
TOPIC = "digest"
NOTHING = "Nothing is owed this week on the supports you answer for."


@dataclass(frozen=True, slots=True)
class Digest:
    """One person's digest of one week; no lines if nothing is owed."""

    person: Recipient
    period: str
    subject: str
    lines: tuple[NoticeLine, ...]


def due_digests(session: Session, now: datetime) -> list[Digest]:
    """The digests whose hour has come and that were not raised yet.

    Only the newest week counts, so a scheduler that was away for a month makes one.
    """
    wanted = []
    for person in active_recipients(session):
        at = last_digest_at(person, now)
        period = digest_period(person, at)
        told = outbox.told(session, person.id, [TOPIC]).get(TOPIC)
        is_told = told is not None and told.newest >= period
        is_told = is_told or not is_confirmed(person)
        if person.wants_digest and at > person.recorded_at and not is_told:
            wanted.append((person, period))
    if not wanted:
        return []
    lines = tuple(line for line in overview(session) if line.removed_on is None)
    sites = {site.code: str(site.id) for site in records.SITES.all(session)}
    return [
        digest(
            person,
            period,
            tuple(
                line
                for line in lines
                if not person.sites or sites[line.site_code] in person.sites
            ),
            now,
        )
        for person, period in wanted
    ]


def digest(
    person: Recipient, period: str, lines: tuple[OverviewLine, ...], now: datetime
) -> Digest:
    """What to tell one person of these supports."""
    dues = owed_lines(lines, now)
    late = [due for due in dues if due.owed is Owed.LATE]
    late.sort(key=lambda due: -due.days_late)
    owed = [due for due in dues if due.owed in (Owed.DUE, Owed.OPEN)]
    soon = [due for due in dues if due.owed is Owed.NOT_YET and _is_soon(due, now)]
    told = (
        *_dues("Late", late),
        *_standings(lines),
        *_dues("Owed now", owed),
        *_dues("Comes due within a week", soon),
    )
    if not told and person.wants_empty:
        told = (NoticeLine("", NOTHING),)
    return Digest(person, period, _subject(len(late), len(owed) + len(soon)), told)


def _subject(late: int, owed: int) -> str:
    if late:
        return f"{_counted(late, 'inspection')} late, {owed} more owed"
    if owed:
        return f"{_counted(owed, 'inspection')} owed"
    return "What needs you this week"


def _counted(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _is_soon(due: DueLine, now: datetime) -> bool:
    return due.due_on <= local_date(now, due.line.timezone) + AHEAD


def _dues(heading: str, dues: Iterable[DueLine]) -> list[NoticeLine]:
    return [
        NoticeLine(heading, f"{_place(due.line)}: {_late(due)}{due.line.due_sentence}",
                   page_of(due.line.code))
        for due in dues
    ]  # fmt: skip


def _late(due: DueLine) -> str:
    return f"{_counted(due.days_late, 'day')} late. " if due.days_late > 0 else ""


def _standings(lines: tuple[OverviewLine, ...]) -> list[NoticeLine]:
    return [
        NoticeLine(
            standing.value.capitalize(),
            f"{_place(line)}: {SAID[standing]}. {' '.join(line.standing_reasons[:1])}",
            page_of(line.code),
        )
        for standing in (Standing.MAKE_SAFE, Standing.ACT)
        for line in lines
        if line.standing is standing
    ]


def _place(line: OverviewLine) -> str:
    return f"{line.code}, {line.site}"
