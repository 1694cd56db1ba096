"""Works as a list that the import reads back: one row a work."""

from collections import defaultdict
from uuid import UUID

from monitor.domain.inspections import Finding, Work
from monitor.exchange.columns import Cell, CellKind, OutColumn, OutTable
from monitor.services.exporting.chosen import Chosen, standing
from monitor.services.exporting.inspection_list import Visits
from monitor.store import Session, records
from monitor.store.lookup import all_in

_TEXT = CellKind.TEXT
COLUMNS = (
    OutColumn("support", _TEXT, "code on the tag"),
    OutColumn("member", _TEXT, "code; empty for all members of the support"),
    OutColumn("date", CellKind.DAY, "civil date at the site"),
    OutColumn("work", _TEXT, "what was done"),
    OutColumn("done by", _TEXT, "who did it"),
    OutColumn("note", _TEXT, "what else is to be said"),
    OutColumn("restarts", _TEXT, "series that start anew with it, by semicolons"),
    OutColumn("closes", _TEXT, "findings that it ended, by semicolons"),
)


def work_list(session: Session, chosen: Chosen, visits: Visits) -> OutTable:
    """Every work that stands."""
    found = standing(all_in(session, records.WORKS, "support_id", chosen.ids))
    works = [work for work in found if not work.withdrawn]
    roots = [work.root_id for work in works]
    restarts: dict[UUID, set[str]] = defaultdict(set)
    for segment in all_in(session, records.SEGMENTS, "work_id", roots):
        restarts[segment.work_id].add(segment.series)
    closes = _closed(session, visits, roots)
    codes = {support.id: support.code for support in chosen.supports}
    members: dict[UUID | None, str] = {m.id: m.code for m in chosen.members}

    def row(work: Work) -> tuple[Cell, ...]:
        return (
            codes[work.support_id],
            members.get(work.member_id, ""),
            work.done_on,
            work.kind.value,
            work.done_by,
            work.note,
            "; ".join(sorted(restarts[work.root_id])) or "none",
            "; ".join(sorted(closes[work.root_id])),
        )

    place = {key: i for i, key in enumerate(chosen.ids)}
    works.sort(key=lambda w: (place[w.support_id], w.done_on, str(row(w))))
    return OutTable("works", "one row a work", COLUMNS, tuple(map(row, works)))


def _closed(
    session: Session, visits: Visits, roots: list[UUID]
) -> dict[UUID, set[str]]:
    by_root: dict[UUID, Finding] = {
        finding.root_id: finding
        for findings in visits.findings.values()
        for finding in findings
    }
    closes: dict[UUID, set[str]] = defaultdict(set)
    for closure in all_in(session, records.CLOSURES, "work_id", roots):
        finding = by_root.get(closure.finding_id)
        if finding is not None and closure.work_id is not None:
            closes[closure.work_id].add(finding.code)
    return closes
