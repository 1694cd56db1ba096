"""What inspectors found on a support, open and closed."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from monitor.domain.findings import FINDINGS
from monitor.domain.inspections import Closure, Finding, Inspection
from monitor.domain.vocabulary import Grade
from monitor.store import Session
from monitor.store import records as r

__all__ = ["FindingView", "findings_of"]


@dataclass(frozen=True, slots=True)
class FindingView:
    """One finding with when it was seen and what ended it.

    Attributes
    ----------
    closed_on : None while it is open
    """

    label: str
    grade: Grade
    note: str
    seen_on: date
    inspector: str
    member: str
    closed_on: date | None
    closing: str

    @property
    def is_open(self) -> bool:
        """Whether it still stands."""
        return self.closed_on is None


_GRAVEST_FIRST = (Grade.MAKE_SAFE, Grade.ACT, Grade.WATCH, Grade.NOTE)


def findings_of(
    session: Session, visits: tuple[Inspection, ...]
) -> tuple[FindingView, ...]:
    """Open ones first, gravest first, newest first."""
    by_root = {visit.root_id: visit for visit in visits}
    found = r.FINDINGS.current(
        session, r.FINDINGS.table.c.inspection_id.in_(list(by_root))
    )
    closures = r.CLOSURES.all(
        session,
        r.CLOSURES.table.c.finding_id.in_([finding.root_id for finding in found]),
    )
    closed = {c.finding_id: c for c in _standing_closures(session, closures)}
    members = _member_codes(session, found)
    views = [
        _view(finding, by_root[finding.inspection_id], closed, members)
        for finding in found
    ]
    views.sort(key=lambda view: view.seen_on, reverse=True)
    return tuple(
        sorted(views, key=lambda v: (not v.is_open, _GRAVEST_FIRST.index(v.grade)))
    )


def _standing_closures(session: Session, closures: list[Closure]) -> list[Closure]:
    """Closures whose work was not withdrawn."""
    roots = [closure.work_id for closure in closures if closure.work_id is not None]
    works = r.WORKS.current(session, r.WORKS.table.c.root_id.in_(roots))
    withdrawn = {work.root_id for work in works if work.withdrawn}
    return [closure for closure in closures if closure.work_id not in withdrawn]


def _view(
    finding: Finding,
    visit: Inspection,
    closed: dict[UUID, Closure],
    members: dict[UUID, str],
) -> FindingView:
    closure = closed.get(finding.root_id)
    code = FINDINGS.get(finding.code)
    return FindingView(
        label=code.label if code else finding.code,
        grade=finding.grade,
        note=finding.note,
        seen_on=visit.inspected_on,
        inspector=visit.inspector,
        member=members[finding.member_id] if finding.member_id else "",
        closed_on=closure.closed_on if closure else None,
        closing=closure.reason if closure else "",
    )


def _member_codes(session: Session, found: list[Finding]) -> dict[UUID, str]:
    ids = [finding.member_id for finding in found if finding.member_id is not None]
    members = r.MEMBERS.all(session, r.MEMBERS.table.c.id.in_(ids))
    return {member.id: member.code for member in members}
