"""What the record holds of one support, as far as a new entry must fit to it."""

from bisect import bisect_left, insort
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import TypeVar
from uuid import UUID

from monitor.domain.inspections import (
    Finding,
    Inspection,
    Instrument,
    Reading,
    Segment,
    Work,
)
from monitor.domain.quantities import QUANTITIES
from monitor.domain.supports import Mark, Member, Support
from monitor.domain.vocabulary import Answer
from monitor.errors import NotFound
from monitor.services.recording.checks import near, plain
from monitor.store import Session, records
from monitor.store.lookup import all_in

E = TypeVar("E", Inspection, Reading, Finding, Work)

ReadingKey = tuple[UUID, UUID, str, int]
FindingKey = tuple[UUID, UUID | None, str]
SeriesKey = tuple[UUID, str]


@dataclass(slots=True)
class Dossier:
    """One support with all that was entered about it. New entries are added to it.

    Attributes
    ----------
    members : by code, without the accidents of typing
    marks : by member and code, likewise
    inspections, works : what stands under each root id, withdrawn ones included
    visit_versions, work_versions : every version under each root id, oldest first
    by_day : root ids of the inspections that any version puts on a day
    readings, findings : every version under the same key, oldest first
    history : standing readings as (date, value, noise) by mark and quantity, in order
    segments : by mark and series
    closed : findings that ended
    instruments : of the whole installation, by code
    """

    support: Support
    timezone: str
    members: dict[str, Member] = field(default_factory=dict)
    marks: dict[tuple[UUID, str], Mark] = field(default_factory=dict)
    inspections: dict[UUID, Inspection] = field(default_factory=dict)
    visit_versions: dict[UUID, list[Inspection]] = field(default_factory=dict)
    work_versions: dict[UUID, list[Work]] = field(default_factory=dict)
    by_day: dict[date, set[UUID]] = field(default_factory=dict)
    works: dict[UUID, Work] = field(default_factory=dict)
    readings: dict[ReadingKey, list[Reading]] = field(default_factory=dict)
    findings: dict[FindingKey, list[Finding]] = field(default_factory=dict)
    history: dict[SeriesKey, list[tuple[date, float, float]]] = field(
        default_factory=dict
    )
    segments: dict[SeriesKey, list[Segment]] = field(default_factory=dict)
    closed: set[UUID] = field(default_factory=set)
    instruments: dict[str, Instrument] = field(default_factory=dict)

    def add_inspection(self, inspection: Inspection) -> None:
        """Take in what stands; the heir replaces the entry it supersedes."""
        self.inspections[inspection.root_id] = inspection
        self.visit_versions.setdefault(inspection.root_id, []).append(inspection)
        self.by_day.setdefault(inspection.inspected_on, set()).add(inspection.root_id)

    def add_reading(self, reading: Reading) -> None:
        """Take in one version of a reading."""
        self.readings.setdefault(reading_key(reading), []).append(reading)
        if reading.supersedes_id is None:
            self._remember(reading)
        else:
            self._forget_all(reading.mark_id, reading.quantity)

    def add_work(self, work: Work) -> None:
        """Take in what stands; the heir replaces the entry it supersedes."""
        self.works[work.root_id] = work
        self.work_versions.setdefault(work.root_id, []).append(work)

    def add_finding(self, finding: Finding) -> None:
        """Take in one version of a finding."""
        key = (finding.inspection_id, finding.member_id, finding.code)
        self.findings.setdefault(key, []).append(finding)

    def add_segment(self, segment: Segment) -> None:
        """Take in where a series starts anew."""
        self.segments.setdefault((segment.mark_id, segment.series), []).append(segment)

    def standing_works(self) -> list[Work]:
        """Those not withdrawn."""
        return [w for w in self.works.values() if not w.withdrawn]

    def past(
        self, mark_id: UUID, quantity: str, on: date
    ) -> list[tuple[date, float, float]]:
        """The newest comparable readings before a day, two at most, oldest first.

        Comparable are those of the same mark and segment.
        """
        known = self.history.get((mark_id, quantity))
        if not known:
            return []
        end = bisect_left(known, (on,))
        newest = known[max(end - 2, 0) : end]
        segments = self.segments.get((mark_id, QUANTITIES[quantity].series_name))
        if not segments:
            return newest
        begins = [s.starts_on for s in segments if s.starts_on <= on]
        return [entry for entry in newest if entry[0] >= max(begins, default=date.min)]

    def read_days(self, mark_id: UUID) -> dict[str, tuple[date, date]]:
        """First and last day of the standing readings of each series at a mark."""
        days: dict[str, tuple[date, date]] = {}
        for (mark, quantity), past in self.history.items():
            if mark == mark_id and past:
                series = QUANTITIES[quantity].series_name
                first, last = days.get(series, (past[0][0], past[-1][0]))
                days[series] = min(first, past[0][0]), max(last, past[-1][0])
        return days

    def open_findings(self, on: date) -> list[Finding]:
        """Findings that stood on a day: seen by then, not closed, not withdrawn."""
        newest = [versions[-1] for versions in self.findings.values()]
        return [
            finding
            for finding in newest
            if finding.root_id not in self.closed
            and not self.inspections[finding.inspection_id].withdrawn
            and self.inspections[finding.inspection_id].inspected_on <= on
        ]

    def _remember(self, reading: Reading) -> None:
        inspection = self.inspections[reading.inspection_id]
        if reading.value is None or inspection.withdrawn:
            return
        sd = (reading.sd_instrument**2 + reading.sd_placement**2) ** 0.5
        past = self.history.setdefault((reading.mark_id, reading.quantity), [])
        insort(past, (inspection.inspected_on, reading.value, sd))

    def _forget_all(self, mark_id: UUID, quantity: str) -> None:
        """Build the history of one series again after a correction."""
        self.history[mark_id, quantity] = []
        for (_, mark, name, _), versions in self.readings.items():
            if (mark, name) == (mark_id, quantity):
                newest = versions[-1]
                if newest.answer is Answer.MEASURED:
                    self._remember(newest)


def reading_key(reading: Reading) -> ReadingKey:
    """What makes two readings the same one: inspection, mark, quantity, repeat."""
    return reading.inspection_id, reading.mark_id, reading.quantity, reading.repeat


def dossier_of(session: Session, code: str) -> Dossier:
    """The dossier of one support, or NotFound with the nearest codes."""
    found = dossiers_of(session, [code]).get(plain(code))
    if found is None:
        raise NotFound("support", code, hint=nearest_support(session, code))
    return found


def nearest_support(session: Session, code: str) -> str:
    """A question naming codes like this one, empty if there are none."""
    hint = near(code, (s.code for s in records.SUPPORTS.all(session)))
    return hint.removeprefix("; ").replace("did", "Did", 1)


def dossiers_of(session: Session, codes: Iterable[str]) -> dict[str, Dossier]:
    """The dossiers of those of the codes that are in the record, by plain code."""
    supports = _supports(session, list(codes))
    by_id = _with_members(session, supports)
    _add_visits(session, by_id)
    _add_works(session, by_id)
    return {plain(d.support.code): d for d in by_id.values()}


def _supports(session: Session, codes: list[str]) -> list[Support]:
    found = all_in(session, records.SUPPORTS, "code", codes)
    missing = {plain(c) for c in codes} - {plain(s.code) for s in found}
    if missing:
        others = records.SUPPORTS.all(session)
        found += [s for s in others if plain(s.code) in missing]
    return found


def _with_members(session: Session, supports: list[Support]) -> dict[UUID, Dossier]:
    trees = {
        t.id: t
        for t in all_in(session, records.TREES, "id", (s.tree_id for s in supports))
    }
    sites = {
        s.id: s
        for s in all_in(
            session, records.SITES, "id", (t.site_id for t in trees.values())
        )
    }
    instruments = {plain(i.code): i for i in records.INSTRUMENTS.all(session)}
    by_id = {
        s.id: Dossier(
            s, sites[trees[s.tree_id].site_id].timezone, instruments=instruments
        )
        for s in supports
    }
    owner: dict[UUID, Dossier] = {}
    for member in all_in(session, records.MEMBERS, "support_id", by_id):
        owner[member.id] = by_id[member.support_id]
        by_id[member.support_id].members[plain(member.code)] = member
    for mark in all_in(session, records.MARKS, "member_id", owner):
        owner[mark.member_id].marks[mark.member_id, plain(mark.code)] = mark
    return by_id


def _add_visits(session: Session, by_id: dict[UUID, Dossier]) -> None:
    roots: dict[UUID, Dossier] = {}
    visits = all_in(session, records.INSPECTIONS, "support_id", by_id)
    for visit in _oldest_first(visits):
        roots[visit.root_id] = by_id[visit.support_id]
        by_id[visit.support_id].add_inspection(visit)
    readings = all_in(session, records.READINGS, "inspection_id", roots)
    for reading in _oldest_first(readings):
        roots[reading.inspection_id].add_reading(reading)
    findings = all_in(session, records.FINDINGS, "inspection_id", roots)
    for finding in _oldest_first(findings):
        roots[finding.inspection_id].add_finding(finding)
    home = {f.root_id: roots[f.inspection_id] for f in findings}
    for closure in all_in(session, records.CLOSURES, "finding_id", home):
        home[closure.finding_id].closed.add(closure.finding_id)


def _add_works(session: Session, by_id: dict[UUID, Dossier]) -> None:
    home: dict[UUID, Dossier] = {}
    for work in _oldest_first(all_in(session, records.WORKS, "support_id", by_id)):
        home[work.root_id] = by_id[work.support_id]
        by_id[work.support_id].add_work(work)
    for segment in all_in(session, records.SEGMENTS, "work_id", home):
        dossier = home[segment.work_id]
        if not dossier.works[segment.work_id].withdrawn:
            dossier.add_segment(segment)


def _oldest_first(entries: list[E]) -> list[E]:
    """Originals before their corrections; a correction is always recorded later."""
    return sorted(
        entries, key=lambda e: (e.recorded_at, e.supersedes_id is not None, e.id)
    )
