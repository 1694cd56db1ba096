"""Works and events along the life of a support, as numbered flags."""

from dataclasses import dataclass
from datetime import date

from monitor.domain.events import Event
from monitor.domain.inspections import Work
from monitor.domain.places import Site
from monitor.domain.supports import Support
from monitor.schedule.area import Point, parse_area
from monitor.services.recording.places import place_of
from monitor.store import Session
from monitor.store import records as r

__all__ = ["Flag", "flags_of"]


@dataclass(frozen=True, slots=True)
class Flag:
    """Something that happened, numbered along the time axis.

    Attributes
    ----------
    number : 1, 2, 3, ... in the order of time
    what : "work" or "event"
    """

    number: int
    on: date
    what: str
    label: str
    note: str


def flags_of(
    session: Session, support: Support, site: Site, works: list[Work]
) -> tuple[Flag, ...]:
    """Works on the support, and events that met it or its site, oldest first."""
    place = place_of(r.TREES.get(session, support.tree_id), site)
    met = [event for event in r.EVENTS.all(session) if _meets(event, support, place)]
    marks = [(work.done_on, "work", work.kind.value, _note(work)) for work in works]
    marks += [
        (event.happened_on, "event", event.name or event.kind.value, event.note)
        for event in met
    ]
    marks.sort()
    return tuple(Flag(n, *mark) for n, mark in enumerate(marks, start=1))


def _note(work: Work) -> str:
    by = f"by {work.done_by}" if work.done_by else ""
    return "; ".join(part for part in (work.note, by) if part)


def _meets(event: Event, support: Support, place: Point | None) -> bool:
    end = support.removed_on or date.max
    if event.withdrawn or not support.installed_on <= event.happened_on <= end:
        return False
    if event.support_id is not None:
        return event.support_id == support.id
    if not event.area or place is None:
        return False
    return parse_area(event.area).holds(place)
