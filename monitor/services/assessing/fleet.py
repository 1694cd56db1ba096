"""All that is recorded of many supports, read in a handful of queries."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import TypeVar
from uuid import UUID

from monitor.domain.findings import FINDINGS
from monitor.domain.inspections import Finding, Inspection, Work
from monitor.domain.places import Site, Tree
from monitor.domain.standing import OpenFinding
from monitor.domain.supports import Fact, LimitOverride, Mark, Member, Support
from monitor.schedule.closures import Blackout
from monitor.schedule.history import Deferral, EventLook
from monitor.schedule.leaf import LeafWish
from monitor.store import Session, records
from monitor.store.repository import Repository

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Fleet:
    """Records of the supports asked for, grouped for looking up.

    Attributes
    ----------
    sites, trees : by support id
    members : of a support, standing and removed
    facts : of a member, by name
    marks : by mark id
    inspections, works : of a support, oldest first, as they stand
    findings : open ones of a support, oldest first
    overrides : limits set for a support, by series
    events, deferrals : of a support, in the order they were given
    blackouts : closures of the site of a support
    wishes : for the crown, by support
    """

    supports: dict[UUID, Support]
    sites: dict[UUID, Site]
    trees: dict[UUID, Tree]
    members: dict[UUID, list[Member]]
    facts: dict[UUID, dict[str, Fact]]
    marks: dict[UUID, Mark]
    inspections: dict[UUID, list[Inspection]]
    works: dict[UUID, list[Work]]
    findings: dict[UUID, list[OpenFinding]]
    overrides: dict[UUID, dict[str, LimitOverride]]
    events: dict[UUID, list[EventLook]] = field(default_factory=dict)
    deferrals: dict[UUID, list[Deferral]] = field(default_factory=dict)
    blackouts: dict[UUID, list[Blackout]] = field(default_factory=dict)
    wishes: dict[UUID, LeafWish] = field(default_factory=dict)

    def standing_members(self, support_id: UUID) -> list[Member]:
        """Members that have not been removed."""
        return [m for m in self.members[support_id] if m.removed_on is None]


def load_fleet(
    session: Session,
    support_ids: Sequence[UUID] | None = None,
    *,
    known_at: datetime | None = None,
) -> Fleet:
    """Read the records of these supports, of all if None, as known at that instant."""
    supports = _among(session, records.SUPPORTS, "id", support_ids, known_at)
    ids = None if support_ids is None else [s.id for s in supports]
    members = _among(session, records.MEMBERS, "support_id", ids, known_at)
    member_ids = None if ids is None else [m.id for m in members]
    inspections = _among(session, records.INSPECTIONS, "support_id", ids, known_at)
    works = _among(session, records.WORKS, "support_id", ids, known_at)
    kept = sorted(
        (i for i in inspections if not i.withdrawn), key=lambda i: i.inspected_on
    )
    under = None if ids is None else {s.tree_id for s in supports}
    trees = {tree.id: tree for tree in _places(session, records.TREES, under)}
    on = None if ids is None else {tree.site_id for tree in trees.values()}
    sites = {site.id: site for site in _places(session, records.SITES, on)}
    facts = _among(session, records.FACTS, "member_id", member_ids, known_at)
    marks = _among(session, records.MARKS, "member_id", member_ids, known_at)
    limits = _among(session, records.LIMIT_OVERRIDES, "support_id", ids, known_at)
    places = {s.id: trees[s.tree_id].site_id for s in supports}
    return Fleet(
        supports={s.id: s for s in supports},
        sites={key: sites[site_id] for key, site_id in places.items()},
        trees={s.id: trees[s.tree_id] for s in supports},
        members=_grouped(members, lambda m: m.support_id),
        facts=_named(facts, lambda f: f.member_id, lambda f: f.name),
        marks={mark.id: mark for mark in marks},
        inspections=_grouped(kept, lambda i: i.support_id),
        works=_grouped(
            sorted((w for w in works if not w.withdrawn), key=lambda w: w.done_on),
            lambda w: w.support_id,
        ),
        findings=_open_findings(session, kept, known_at),
        overrides=_named(limits, lambda o: o.support_id, lambda o: o.series),
        events=event_looks(session, ids, known_at),
        deferrals=deferrals_of(session, ids, known_at),
        blackouts=blackouts_at(session, places, known_at),
        wishes=crown_wishes(session, ids, known_at),
    )


def event_looks(
    session: Session,
    support_ids: Sequence[UUID] | None,
    known_at: datetime | None = None,
) -> dict[UUID, list[EventLook]]:
    """Looks that events call for, in the order of the days; answered ones, too.

    An event that was withdrawn calls for nothing. Where looks are repeated while an
    event lasts, its end puts one last look in their place.
    """
    events = {event.id: event for event in records.EVENTS.all(session)}
    groups: dict[UUID, list[EventLook]] = defaultdict(list)
    calls = _among(session, records.EVENT_CALLS, "support_id", support_ids, known_at)
    for call in sorted(calls, key=lambda c: (c.happened_on, c.done_by_on, c.id)):
        event = events[call.event_id]
        is_over = event.ended_on is not None and call.again_days is not None
        if not event.withdrawn and not is_over:
            groups[call.support_id].append(
                EventLook(
                    event.kind,
                    call.label,
                    call.happened_on,
                    call.done_by_on,
                    call.again_days,
                )
            )
    return groups


def deferrals_of(
    session: Session,
    support_ids: Sequence[UUID] | None,
    known_at: datetime | None = None,
) -> dict[UUID, list[Deferral]]:
    """Decisions to look later, in the order they were given."""
    groups: dict[UUID, list[Deferral]] = defaultdict(list)
    found = _among(session, records.DEFERRALS, "support_id", support_ids, known_at)
    for one in sorted(found, key=lambda d: (d.recorded_at, d.id)):
        if not one.withdrawn:
            groups[one.support_id].append(
                Deferral(one.from_on, one.until_on, one.reason, one.name, one.given_on)
            )
    return groups


def blackouts_at(
    session: Session, places: dict[UUID, UUID], known_at: datetime | None = None
) -> dict[UUID, list[Blackout]]:
    """Closures that stand at the site of each of these, given as key and site."""
    closed: dict[UUID, list[Blackout]] = defaultdict(list)
    found = records.SITE_CLOSURES.current(session, known_at=known_at)
    for one in sorted(found, key=lambda c: (c.first_on, c.last_on, c.id)):
        if not one.withdrawn:
            closed[one.site_id].append(Blackout(one.first_on, one.last_on, one.reason))
    return {key: closed[place] for key, place in places.items() if place in closed}


def crown_wishes(
    session: Session, ids: Sequence[UUID] | None, known_at: datetime | None = None
) -> dict[UUID, LeafWish]:
    """How the crown is wanted for a look, by support."""
    found = _among(session, records.CROWN_WISHES, "support_id", ids, known_at)
    return {
        one.support_id: LeafWish(
            one.state, month_and_day(one.leaf_out), month_and_day(one.leaf_fall)
        )
        for one in found
        if one.state is not None
    }


def month_and_day(text: str) -> tuple[int, int]:
    """A day of every year, such as "04-20"."""
    month, day = text.split("-")
    return int(month), int(day)


def _among(
    session: Session,
    repository: Repository[T],
    column: str,
    keys: Sequence[UUID] | None,
    known_at: datetime | None,
) -> list[T]:
    where = [] if keys is None else [repository.table.c[column].in_(keys)]
    return repository.current(session, *where, known_at=known_at)


def _places(
    session: Session, repository: Repository[T], keys: Collection[UUID] | None
) -> list[T]:
    """Trees or sites of these ids, all if None."""
    where = [] if keys is None else [repository.table.c.id.in_(keys)]
    return repository.all(session, *where)


def _grouped(items: Iterable[T], key: Callable[[T], UUID]) -> dict[UUID, list[T]]:
    groups: dict[UUID, list[T]] = defaultdict(list)
    for item in items:
        groups[key(item)].append(item)
    return groups


def _named(
    items: Iterable[T], key: Callable[[T], UUID], name: Callable[[T], str]
) -> dict[UUID, dict[str, T]]:
    groups: dict[UUID, dict[str, T]] = defaultdict(dict)
    for item in items:
        groups[key(item)][name(item)] = item
    return groups


def _open_findings(
    session: Session, inspections: list[Inspection], known_at: datetime | None
) -> dict[UUID, list[OpenFinding]]:
    closed = {
        c.finding_id for c in records.CLOSURES.current(session, known_at=known_at)
    }
    by_inspection = _grouped(
        records.FINDINGS.current(session, known_at=known_at), lambda f: f.inspection_id
    )
    groups: dict[UUID, list[OpenFinding]] = defaultdict(list)
    for inspection in inspections:
        for finding in by_inspection.get(inspection.root_id, ()):
            if finding.root_id not in closed:
                groups[inspection.support_id].append(_as_open(finding, inspection))
    return groups


def _as_open(finding: Finding, inspection: Inspection) -> OpenFinding:
    known = FINDINGS.get(finding.code)
    label = known.label if known and finding.code != "other" else finding.note
    return OpenFinding(label or finding.code, finding.grade, inspection.inspected_on)
