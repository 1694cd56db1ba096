"""What must be told at once: worse standing, serious lateness, doubt, calls unanswered.

Worked out from what the record says now, never from what fired when: a scheduler that
was away for a month finds the same matters when it comes back.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from urllib.parse import quote
from uuid import UUID

from monitor.clock import local_date
from monitor.domain.notices import NoticeLine
from monitor.domain.quantities import SERIES_LABEL
from monitor.domain.scheduling import EventCall
from monitor.domain.vocabulary import Standing
from monitor.schedule.calendar import in_words
from monitor.services.planning.event_calls import answered_on
from monitor.store import Session, records
from monitor.store.overview import OverviewLine, doubtful, overview

CALLS_FOR = timedelta(days=400)
"""Calls of events older than that were told when their time passed; own choice."""

SAID = {Standing.MAKE_SAFE: "must be made safe", Standing.ACT: "wants work"}


@dataclass(frozen=True, slots=True)
class Matter:
    """Something to tell at once.

    Attributes
    ----------
    topic : what it is about; told again only with a higher `period` or `covers`
    period : which time; empty where only the rank counts
    covers : rank of the standing, 0 for other matters
    is_urgent : whether it may wake people
    """

    topic: str
    period: str
    covers: int
    is_urgent: bool
    subject: str
    line: NoticeLine
    site_id: str


@dataclass(frozen=True, slots=True)
class Scene:
    """What the matters are worked out from.

    Attributes
    ----------
    lines : supports in service, by id
    sites : id of each site, by its code
    """

    lines: dict[UUID, OverviewLine]
    sites: dict[str, str]
    now: datetime

    def today(self, line: OverviewLine) -> date:
        """The civil date at the site of a support."""
        return local_date(self.now, line.timezone)


def scene(
    session: Session, support_ids: Collection[UUID] | None, now: datetime
) -> Scene:
    """Read the supports in service, all if no ids are given."""
    lines = {
        line.support_id: line
        for line in overview(session)
        if line.removed_on is None
        and (support_ids is None or line.support_id in support_ids)
    }
    sites = {site.code: str(site.id) for site in records.SITES.all(session)}
    return Scene(lines, sites, now)


def matters(session: Session, seen: Scene) -> list[Matter]:
    """Everything that must be told at once, gravest first."""
    return [
        *_standings(seen),
        *_unanswered(session, seen),
        *_doubts(session, seen),
        *_late(session, seen),
    ]


def standing_topic(support_id: UUID) -> str:
    """Topic of how a support stands."""
    return f"standing {support_id}"


def _standings(seen: Scene) -> Iterator[Matter]:
    for standing in (Standing.MAKE_SAFE, Standing.ACT):
        for line in seen.lines.values():
            if line.standing is standing:
                why = " ".join(line.standing_reasons[:2])
                yield Matter(
                    standing_topic(line.support_id),
                    "",
                    standing.rank,
                    standing is Standing.MAKE_SAFE,
                    f"{line.code} {SAID[standing]}",
                    _line(
                        line,
                        standing.value.capitalize(),
                        f"{SAID[standing]}. {why}",
                    ),
                    seen.sites[line.site_code],
                )


def _late(session: Session, seen: Scene) -> Iterator[Matter]:
    for due in sorted(records.DUES.all(session), key=lambda one: one.serious_on):
        line = seen.lines.get(due.support_id)
        if line is None or seen.today(line) < due.serious_on:
            continue
        last = line.last_on.isoformat() if line.last_on else "0000-00-00"
        yield Matter(
            f"late {due.support_id}",
            f"{last} {due.due_on.isoformat()}",
            0,
            False,
            f"{line.code}: inspection seriously late",
            _line(
                line,
                "Seriously late",
                f"the {due.kind.value} inspection is seriously late since "
                f"{in_words(due.serious_on)}. {due.sentence}",
            ),
            seen.sites[line.site_code],
        )


def _doubts(session: Session, seen: Scene) -> Iterator[Matter]:
    for doubt in doubtful(session):
        line = seen.lines.get(doubt.support_id)
        if line is None:
            continue
        yield Matter(
            f"doubt {doubt.support_id} {doubt.member} {doubt.mark} {doubt.series}",
            line.last_on.isoformat() if line.last_on else "",
            0,
            False,
            f"{line.code}: repeat a reading",
            _line(
                line,
                "Unconfirmed",
                f"the newest {SERIES_LABEL[doubt.series]} reading at {doubt.member}, "
                f"{doubt.mark} does not fit its neighbours: repeat it. "
                f"{doubt.sentence}",
            ),
            seen.sites[line.site_code],
        )


def _unanswered(session: Session, seen: Scene) -> Iterator[Matter]:
    table = records.EVENT_CALLS.table.c
    recent = table.done_by_on > seen.now.date() - CALLS_FOR
    calls = [
        call
        for call in records.EVENT_CALLS.all(session, recent)
        if call.support_id in seen.lines
        and seen.today(seen.lines[call.support_id]) > call.done_by_on
    ]
    open_calls = _standing_calls(session, calls)
    answered = answered_on(session, open_calls) if open_calls else {}
    for call in sorted(open_calls, key=lambda one: (one.done_by_on, one.place)):
        if call.id not in answered:
            yield _of_call(call, seen)


def _standing_calls(session: Session, calls: list[EventCall]) -> list[EventCall]:
    """Without those of withdrawn events, or that the end of an event replaced."""
    events = {event.id: event for event in records.EVENTS.all(session)}
    return [
        call
        for call in calls
        if not events[call.event_id].withdrawn
        and not (
            events[call.event_id].ended_on is not None and call.again_days is not None
        )
    ]


def _of_call(call: EventCall, seen: Scene) -> Matter:
    line = seen.lines[call.support_id]
    return Matter(
        f"call {call.id}",
        call.done_by_on.isoformat(),
        0,
        False,
        f"{line.code}: not looked at since the {call.label}",
        _line(
            line,
            "Not looked at after an event",
            f"the {call.label} of {in_words(call.happened_on)} called for a look by "
            f"{in_words(call.done_by_on)}, and nobody has recorded one.",
        ),
        seen.sites[line.site_code],
    )


def _line(line: OverviewLine, heading: str, told: str) -> NoticeLine:
    return NoticeLine(heading, f"{line.code}, {line.site}: {told}", page_of(line.code))


def page_of(code: str) -> str:
    """Path of the page of a support."""
    return f"supports/{quote(code, safe='')}"
