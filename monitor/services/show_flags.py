"""Works and events along the life of a support, as numbered flags."""

import json
from dataclasses import dataclass
from datetime import date

from monitor.domain.events import Event
from monitor.domain.inspections import Work
from monitor.domain.places import Site
from monitor.domain.supports import Support
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
    met = [event for event in r.EVENTS.all(session) if _meets(event, support, site)]
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


def _meets(event: Event, support: Support, site: Site) -> bool:
    end = support.removed_on or date.max
    if not support.installed_on <= event.happened_on <= end:
        return False
    if event.support_id is not None:
        return event.support_id == support.id
    if not event.area or site.latitude is None or site.longitude is None:
        return False
    return _is_within(event.area, site.longitude, site.latitude)


def _is_within(area: str, longitude: float, latitude: float) -> bool:
    """Whether a point lies in the outer ring of a GeoJSON polygon (crossing number)."""
    ring = json.loads(area)["coordinates"][0]
    is_inside = False
    for (x1, y1, *_), (x2, y2, *_) in zip(ring, ring[1:] + ring[:1], strict=True):
        if (y1 > latitude) != (y2 > latitude):
            crossing = x1 + (latitude - y1) * (x2 - x1) / (y2 - y1)
            if longitude < crossing:
                is_inside = not is_inside
    return is_inside
