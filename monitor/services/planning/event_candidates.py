"""Which supports an event may call, with all that their order of risk asks for."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from monitor.domain.events import Event
from monitor.domain.places import Site
from monitor.domain.supports import Support
from monitor.domain.vocabulary import InspectionKind, Standing
from monitor.errors import InvalidInput
from monitor.schedule.area import Point
from monitor.schedule.responses import Candidate, respond
from monitor.services.assessing.fleet import load_fleet
from monitor.services.planning.plan import margins_now, outlooks_of
from monitor.services.recording.places import place_of
from monitor.services.showing.support import find_support
from monitor.store import Session, records


@dataclass(frozen=True, slots=True)
class Waiting:
    """Supports that nobody has looked at since an event.

    Attributes
    ----------
    waiting : ids of those that stood then and stand now
    seen : how many others were looked at since
    """

    waiting: tuple[UUID, ...]
    seen: int


def candidates_for(session: Session, event: Event) -> Waiting:
    """Who of those in the way of an event was not looked at since."""
    supports = {s.id: s for s in records.SUPPORTS.all(session)}
    there = [
        Candidate(
            support_id=key,
            code=support.code,
            position=place,
            standing=Standing.WATCH,
            margin=None,
            occupancy=support.occupancy,
            consequence=support.consequence,
            evidence=None,
        )
        for key, place in positions(session).items()
        if _stood(support := supports[key], event.happened_on)
    ]
    response = respond(event, there)
    called = [one.candidate.support_id for one in response.called]
    called += [one.support_id for one in response.unplaced]
    seen = _seen_since(session, called, event.happened_on)
    return Waiting(tuple(key for key in called if key not in seen), len(seen))


def ordered_candidates(
    session: Session, event: Event, support_ids: Sequence[UUID], now: datetime
) -> list[Candidate]:
    """Standing, margin, target and evidence of each of these supports."""
    keys = list(support_ids)
    fleet = load_fleet(session, keys)
    outlooks = outlooks_of(session, keys)
    margins = margins_now(session, fleet, outlooks, now) if keys else {}
    known = records.STANDINGS.table.c.support_id
    standings = {
        s.support_id: s.standing
        for s in records.STANDINGS.all(session, known.in_(keys))
    }
    found = []
    for key, support in fleet.supports.items():
        uses = [word.use for word in margins.get(key, ()) if word.use > 0]
        heard = [o.evidence for o in outlooks.get(key, ()) if o.evidence is not None]
        found.append(
            Candidate(
                support_id=key,
                code=support.code,
                position=place_of(fleet.trees[key], fleet.sites[key]),
                # one that was never assessed may stand badly: it counts as doubtful
                standing=standings.get(key, Standing.WATCH),
                margin=1 / max(uses) if uses else None,
                occupancy=support.occupancy,
                consequence=support.consequence,
                evidence=max(heard, default=None),
            )
        )
    return found


def positions(session: Session) -> dict[UUID, Point | None]:
    """Where every support stands, None where nobody noted it."""
    trees = {tree.id: tree for tree in records.TREES.all(session)}
    sites = {site.id: site for site in records.SITES.all(session)}
    found = {}
    for support in records.SUPPORTS.all(session):
        tree = trees[support.tree_id]
        found[support.id] = place_of(tree, sites[tree.site_id])
    return found


def position_of(session: Session, code: str) -> Point:
    """Where a site, or else a support, of that code is.

    Raises
    ------
    NotFound, InvalidInput : there is none, or nobody noted where it is
    """
    plain = code.strip()
    site = records.SITES.find(session, code=plain) or records.SITES.find(
        session, code=plain.upper()
    )
    if site is not None:
        found = _on_site(session, site)
    else:
        found = positions(session)[find_support(session, code).id]
    if found is None:
        raise InvalidInput(
            f"Where “{plain}” lies was never noted; no circle can be drawn about it.",
            field="around",
            code="evt-009",
        )
    return found


def answers_call(on: date, kind: InspectionKind, happened_on: date) -> bool:
    """Whether a look answers the call of an event.

    On the day itself only a look after the event is known to be later.
    """
    return on > happened_on or (
        on == happened_on and kind is InspectionKind.AFTER_EVENT
    )


def _on_site(session: Session, site: Site) -> Point | None:
    if site.longitude is not None and site.latitude is not None:
        return site.longitude, site.latitude
    trees = records.TREES.all(session, records.TREES.table.c.site_id == site.id)
    placed = [place for tree in trees if (place := place_of(tree, site)) is not None]
    return placed[0] if placed else None


def _stood(support: Support, on: date) -> bool:
    return support.installed_on <= on and support.removed_on is None


def _seen_since(session: Session, keys: Sequence[UUID], on: date) -> set[UUID]:
    table = records.INSPECTIONS.table.c
    visits = records.INSPECTIONS.current(
        session, table.support_id.in_(keys), table.inspected_on >= on
    )
    return {
        visit.support_id
        for visit in visits
        if not visit.withdrawn and answers_call(visit.inspected_on, visit.kind, on)
    }
