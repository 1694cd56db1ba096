"""Events as the pages and commands show them: whom they wait for, and where."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from monitor.clock import local_date
from monitor.domain.events import Event
from monitor.domain.scheduling import EventCall
from monitor.domain.vocabulary import Standing
from monitor.services.planning.event_calls import answered_on, standing_calls
from monitor.services.planning.event_size import size_in_words
from monitor.store import Session, records
from monitor.store.map_lines import Placed, placed
from monitor.store.overview import OverviewLine, overview

__all__ = ["CallLine", "EventView", "Placed", "events", "placed", "site_choices"]

FEW = 2000
"""So many supports are asked for one by one; beyond that all are read at once."""


@dataclass(frozen=True, slots=True)
class CallLine:
    """One support that was called.

    Attributes
    ----------
    done_by_on : latest day for the look, the next one where it is repeated
    seen_on : day of the newest look that answers it, None if there is none
    standing : as it was when the support was called
    """

    code: str
    site: str
    tree: str
    standing: Standing
    done_by_on: date
    again_days: int | None
    seen_on: date | None
    today: date

    @property
    def is_waiting(self) -> bool:
        """Whether a look is still owed."""
        return self.seen_on is None or self.again_days is not None

    @property
    def is_late(self) -> bool:
        """Whether it should have been looked at by now."""
        return self.is_waiting and self.today > self.done_by_on


@dataclass(frozen=True, slots=True)
class EventView:
    """One event and everyone it called, in order of risk.

    Attributes
    ----------
    size : in words, empty if not known
    struck : code of the one support it met, empty if it met an area
    """

    event: Event
    size: str
    struck: str
    lines: tuple[CallLine, ...]

    @property
    def waiting(self) -> tuple[CallLine, ...]:
        """Those that still want a look."""
        return tuple(line for line in self.lines if line.is_waiting)


def events(session: Session, now: datetime) -> tuple[EventView, ...]:
    """Every event, newest first; withdrawn ones are left to the ledger."""
    found = [one for one in records.EVENTS.all(session) if not one.withdrawn]
    found.sort(key=lambda one: (one.happened_on, one.recorded_at), reverse=True)
    calls = {event.id: standing_calls(session, event) for event in found}
    met = {call.support_id for some in calls.values() for call in some}
    met |= {event.support_id for event in found if event.support_id}
    lines = overview(session, [*met] if len(met) <= FEW else None)
    by_id = {line.support_id: line for line in lines}
    return tuple(_view(session, event, calls[event.id], by_id, now) for event in found)


def site_choices(session: Session) -> tuple[tuple[str, str], ...]:
    """Code and name of every site, by name."""
    sites = sorted(records.SITES.all(session), key=lambda site: site.name)
    return tuple((site.code, site.name) for site in sites)


def _view(
    session: Session,
    event: Event,
    calls: Sequence[EventCall],
    by_id: dict[UUID, OverviewLine],
    now: datetime,
) -> EventView:
    seen = answered_on(session, calls)
    struck = by_id[event.support_id].code if event.support_id else ""
    return EventView(
        event,
        size_in_words(event.kind, event.magnitude),
        struck,
        tuple(_lines(calls, seen, by_id, now)),
    )


def _lines(
    calls: Sequence[EventCall],
    seen: dict[UUID, date],
    by_id: dict[UUID, OverviewLine],
    now: datetime,
) -> list[CallLine]:
    lines = []
    for call in calls:
        support = by_id[call.support_id]
        seen_on = seen.get(call.id)
        if support.removed_on is not None:
            continue
        done_by_on = call.done_by_on
        if seen_on is not None and call.again_days is not None:
            done_by_on = seen_on + timedelta(days=call.again_days)
        lines.append(
            CallLine(
                code=support.code,
                site=support.site,
                tree=support.tree,
                standing=call.standing,
                done_by_on=done_by_on,
                again_days=call.again_days,
                seen_on=seen_on,
                today=local_date(now, support.timezone),
            )
        )
    return lines
