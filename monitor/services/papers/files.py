"""The file of one support: everything a paper may say of it, at one moment."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from uuid import UUID

import pandas as pd

from monitor.domain.facts import FACTS, fact_spec
from monitor.domain.findings import FINDINGS
from monitor.domain.inspections import Closure, Finding, Inspection, Work
from monitor.domain.ledger import Change
from monitor.domain.quantities import QUANTITIES, SERIES
from monitor.domain.supports import Support
from monitor.services.margins.member_margin import MemberMargin
from monitor.services.papers.earlier import still_there
from monitor.services.papers.moment import Moment
from monitor.services.papers.then import Known, known_at
from monitor.services.showing.findings import FindingView
from monitor.services.showing.flags import flags_of
from monitor.services.showing.series import SeriesView, series_view
from monitor.services.showing.support import FactView, MemberView, Place, SupportView
from monitor.store import Session, records
from monitor.store.frames import readings_frame, segments_frame
from monitor.store.history import changes_of

AT_ONCE = 50
_CHANGES = 100_000
_GRAVEST_FIRST = ("make safe", "act", "watch", "note")


@dataclass(frozen=True, slots=True)
class SupportFile:
    """One support with everything a paper may say of it.

    Attributes
    ----------
    rows : all its readings, as `readings_frame`
    margins : of the members that stand; screening only
    """

    view: SupportView
    rows: pd.DataFrame
    margins: tuple[MemberMargin, ...]


@dataclass(frozen=True, slots=True)
class _Batch:
    """Some supports read together."""

    session: Session
    moment: Moment
    known: Known
    rows: dict[UUID, pd.DataFrame]
    none: pd.DataFrame
    starts: pd.DataFrame


def files_of(
    session: Session, supports: Sequence[Support], moment: Moment
) -> Iterator[SupportFile]:
    """The file of each support, in turn."""
    for start in range(0, len(supports), AT_ONCE):
        ids = [one.id for one in supports[start : start + AT_ONCE]]
        batch = _read(session, ids, moment)
        for key in ids:
            support = batch.known.fleet.supports[key]
            yield SupportFile(
                _view(batch, support),
                batch.rows.get(key, batch.none),
                tuple(batch.known.margins[key]),
            )


def is_there(view: SupportView) -> bool:
    """Whether a support stood on the day its file speaks of."""
    return still_there(view.support, view.place.today)


def _read(session: Session, ids: list[UUID], moment: Moment) -> _Batch:
    rows = readings_frame(session, ids, known_at=moment.known_at)
    names = {name: quantity.series_name for name, quantity in QUANTITIES.items()}
    rows = rows.assign(series=rows["quantity"].map(names))
    return _Batch(
        session,
        moment,
        known_at(session, ids, moment),
        {key: rows[rows["support_id"] == key] for key in ids},
        rows.iloc[:0],
        segments_frame(session, ids, known_at=moment.known_at),
    )


def _view(batch: _Batch, support: Support) -> SupportView:
    session, moment, known = batch.session, batch.moment, batch.known
    fleet = known.fleet
    site = fleet.sites[support.id]
    day = moment.day(site.timezone)
    members = _members(known, support)
    works = fleet.works.get(support.id, [])
    visits = tuple(reversed(fleet.inspections.get(support.id, [])))
    flags = flags_of(session, support, site, works)
    photos = records.PHOTOS.table.c.support_id == support.id
    return SupportView(
        support=support,
        place=Place(fleet.trees[support.id], site, _name(session, site.owner_id), day),
        installer=_name(session, support.installer_id),
        standing=known.standings.get(support.id),
        due=known.dues.get(support.id),
        members=members,
        series=_series(batch, support, members),
        visits=visits,
        findings=_findings(session, support, visits, moment),
        works=tuple(works),
        flags=tuple(flag for flag in flags if flag.on <= day),
        photos=tuple(records.PHOTOS.current(session, photos, known_at=moment.known_at)),
        changes=_changes(session, support, visits, works, moment),
    )


def _name(session: Session, party_id: UUID | None) -> str:
    return records.PARTIES.get(session, party_id).name if party_id else ""


def _members(known: Known, support: Support) -> tuple[MemberView, ...]:
    fleet = known.fleet
    members = sorted(
        fleet.members.get(support.id, []),
        key=lambda member: (member.removed_on is not None, member.code),
    )
    views = []
    for member in members:
        own = fleet.facts.get(member.id, {})
        order = [spec.name for spec in FACTS[member.kind] if spec.name in own]
        order += [name for name in own if name not in order]
        shown = tuple(
            FactView(
                spec.label if (spec := fact_spec(member.kind, name)) else name,
                own[name].given,
            )
            for name in order
        )
        marks = [mark for mark in fleet.marks.values() if mark.member_id == member.id]
        views.append(
            MemberView(
                member,
                tuple(sorted(marks, key=lambda mark: mark.code)),
                shown,
                {f.name: f.number for f in own.values() if f.number is not None},
            )
        )
    return tuple(views)


def _series(
    batch: _Batch, support: Support, members: tuple[MemberView, ...]
) -> tuple[SeriesView, ...]:
    rows = batch.rows.get(support.id, batch.none)
    outlooks = {
        (one.mark_id, one.series): one
        for one in batch.known.outlooks.get(support.id, ())
    }
    found = []
    for view in members:
        for mark in view.marks:
            here = rows[rows["mark_id"] == mark.id]
            starts = batch.starts[batch.starts["mark_id"] == mark.id]
            read = set(here["series"])
            found += [
                series_view(
                    here[here["series"] == series],
                    tuple(starts.loc[starts["series"] == series, "starts_on"]),
                    (series, view.member, mark),
                    outlooks.get((mark.id, series)),
                )
                for series in SERIES
                if series in read
            ]
    return tuple(found)


def _findings(
    session: Session, support: Support, visits: tuple[Inspection, ...], moment: Moment
) -> tuple[FindingView, ...]:
    by_root = {visit.root_id: visit for visit in visits}
    table = records.FINDINGS.table.c
    found = records.FINDINGS.current(
        session, table.inspection_id.in_(list(by_root)), known_at=moment.known_at
    )
    ended = _closures(session, support, [one.root_id for one in found], moment)
    members = records.MEMBERS.all(
        session, records.MEMBERS.table.c.support_id == support.id
    )
    codes = {member.id: member.code for member in members}
    views = [
        _finding(one, by_root[one.inspection_id], ended.get(one.root_id), codes)
        for one in found
    ]
    views.sort(key=lambda view: view.seen_on, reverse=True)
    views.sort(key=lambda v: (not v.is_open, _GRAVEST_FIRST.index(v.grade.value)))
    return tuple(views)


def _closures(
    session: Session, support: Support, roots: list[UUID], moment: Moment
) -> dict[UUID, Closure]:
    """What ended each finding, works that were withdrawn left out."""
    table = records.WORKS.table.c
    works = records.WORKS.current(
        session, table.support_id == support.id, known_at=moment.known_at
    )
    undone = {work.root_id for work in works if work.withdrawn}
    closures = records.CLOSURES.current(
        session,
        records.CLOSURES.table.c.finding_id.in_(roots),
        known_at=moment.known_at,
    )
    return {one.finding_id: one for one in closures if one.work_id not in undone}


def _finding(
    finding: Finding, visit: Inspection, ended: Closure | None, codes: dict[UUID, str]
) -> FindingView:
    code = FINDINGS.get(finding.code)
    return FindingView(
        label=code.label if code else finding.code,
        grade=finding.grade,
        note=finding.note,
        seen_on=visit.inspected_on,
        inspector=visit.inspector,
        member=codes.get(finding.member_id, "") if finding.member_id else "",
        closed_on=ended.closed_on if ended else None,
        closing=ended.reason if ended else "",
    )


def _changes(
    session: Session,
    support: Support,
    visits: tuple[Inspection, ...],
    works: Sequence[Work],
    moment: Moment,
) -> tuple[Change, ...]:
    subjects = [f"support {support.id}", f"support {support.code}"]
    subjects += [f"inspection {visit.root_id}" for visit in visits]
    subjects += [f"work {work.root_id}" for work in works]
    found = changes_of(session, subjects, at_most=_CHANGES)
    return tuple(change for change in found if change.recorded_at <= moment.at)
