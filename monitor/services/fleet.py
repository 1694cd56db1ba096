"""All that is recorded of many supports, read in a handful of queries."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar
from uuid import UUID

from monitor.domain.findings import FINDINGS
from monitor.domain.inspections import Finding, Inspection, Work
from monitor.domain.places import Site, Tree
from monitor.domain.standing import OpenFinding
from monitor.domain.supports import Fact, LimitOverride, Mark, Member, Support
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
    trees = {tree.id: tree for tree in records.TREES.all(session)}
    sites = {site.id: site for site in records.SITES.all(session)}
    facts = _among(session, records.FACTS, "member_id", member_ids, known_at)
    marks = _among(session, records.MARKS, "member_id", member_ids, known_at)
    limits = _among(session, records.LIMIT_OVERRIDES, "support_id", ids, known_at)
    return Fleet(
        supports={s.id: s for s in supports},
        sites={s.id: sites[trees[s.tree_id].site_id] for s in supports},
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
    )


def _among(
    session: Session,
    repository: Repository[T],
    column: str,
    keys: Sequence[UUID] | None,
    known_at: datetime | None,
) -> list[T]:
    where = [] if keys is None else [repository.table.c[column].in_(keys)]
    return repository.current(session, *where, known_at=known_at)


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
