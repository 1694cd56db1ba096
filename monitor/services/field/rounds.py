"""A round: everything an inspector needs at the tree, for many supports at once."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from monitor.clock import local_date
from monitor.domain.findings import FINDINGS
from monitor.domain.places import Site
from monitor.domain.supports import Mark, Member, Support
from monitor.domain.vocabulary import Grade
from monitor.errors import InvalidInput, NotFound
from monitor.services.field.cautions import cautions_for
from monitor.services.field.expected import FieldMark, Read, marks_of
from monitor.services.field.older_photos import FieldPhoto, older_photos
from monitor.services.recording.checks import plain
from monitor.services.recording.dossier import nearest_support
from monitor.store import Session
from monitor.store import records as r
from monitor.store.frames import readings_frame
from monitor.store.lookup import all_in
from monitor.store.overview import OverviewLine, overview

MOST_SUPPORTS = 500


@dataclass(frozen=True, slots=True)
class RoundChoice:
    """Which supports to take along; what is empty does not narrow the choice.

    Attributes
    ----------
    within_days : owed within so many days, None for any
    site : code
    codes : on the tags, as typed
    """

    within_days: int | None = None
    site: str = ""
    codes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FieldMember:
    """A member that stands, with its marks.

    Attributes
    ----------
    bearing_deg : of the +x axis of its tilts [deg], None if unknown
    """

    code: str
    kind: str
    bearing_deg: float | None
    marks: tuple[FieldMark, ...]


@dataclass(frozen=True, slots=True)
class OpenFinding:
    """A finding that still stands."""

    label: str
    grade: str
    note: str
    member: str
    seen_on: date


@dataclass(frozen=True, slots=True)
class FieldSupport:
    """One support as it is stored on the device."""

    code: str
    site_code: str
    site: str
    tree: str
    species: str
    timezone: str
    reason: str
    target: str
    note: str
    access_note: str
    quiet_seasons: str
    standing: str
    standing_reasons: tuple[str, ...]
    due_kind: str
    due_on: date | None
    due_sentence: str
    installed_on: date
    last_on: date | None
    cautions: tuple[str, ...]
    findings: tuple[OpenFinding, ...]
    members: tuple[FieldMember, ...]
    photos: tuple[FieldPhoto, ...] = ()


@dataclass(frozen=True, slots=True)
class Round:
    """What one answer brings.

    Attributes
    ----------
    left_out : how many fitted the choice beyond the largest round
    """

    made_at: datetime
    supports: tuple[FieldSupport, ...]
    left_out: int


def round_of(session: Session, choice: RoundChoice, *, now: datetime) -> Round:
    """The supports of a round, those that are owed soonest first.

    Raises
    ------
    NotFound : a typed code is not in the record, naming the nearest
    InvalidInput : nothing was chosen
    """
    lines = _chosen(session, choice, now)
    kept = lines[:MOST_SUPPORTS]
    return Round(now, _supports(session, kept), len(lines) - len(kept))


def sites_with_supports(session: Session) -> tuple[tuple[str, str, int], ...]:
    """Code and name of each site with supports in service, and how many."""
    counts: dict[tuple[str, str], int] = defaultdict(int)
    for line in overview(session):
        if line.removed_on is None:
            counts[line.site_code, line.site] += 1
    found = [(code, name, n) for (code, name), n in counts.items()]
    return tuple(sorted(found, key=lambda site: (site[1], site[0])))


def finding_codes() -> tuple[tuple[str, str, str], ...]:
    """Code, label and usual grade of what can be seen."""
    return tuple((f.code, f.label, f.usual_grade.value) for f in FINDINGS.values())


def grades() -> tuple[str, ...]:
    """How grave a finding can be, mildest first."""
    return tuple(grade.value for grade in Grade)


def _chosen(session: Session, choice: RoundChoice, now: datetime) -> list[OverviewLine]:
    if not choice.codes and not choice.site and choice.within_days is None:
        raise InvalidInput("Choose a span, a site or codes for the round.", field="")
    lines = [line for line in overview(session) if line.removed_on is None]
    if choice.codes:
        return _with_codes(session, lines, choice.codes)
    if choice.site:
        lines = [line for line in lines if plain(line.site_code) == plain(choice.site)]
    if choice.within_days is not None:
        lines = [line for line in lines if _is_owed(line, choice.within_days, now)]
    return sorted(lines, key=lambda line: (line.due_on or date.max, line.code))


def _with_codes(
    session: Session, lines: list[OverviewLine], codes: Iterable[str]
) -> list[OverviewLine]:
    by_code = {plain(line.code): line for line in lines}
    found = {}
    for code in codes:
        line = by_code.get(plain(code))
        if line is None:
            hint = nearest_support(session, code)
            raise NotFound("support in service", code, hint=hint)
        found[line.code] = line
    return list(found.values())


def _is_owed(line: OverviewLine, within_days: int, now: datetime) -> bool:
    until = local_date(now, line.timezone) + timedelta(days=within_days)
    return line.due_on is not None and min(line.due_on, line.opens_on or until) <= until


def _supports(session: Session, lines: list[OverviewLine]) -> tuple[FieldSupport, ...]:
    ids = [line.support_id for line in lines]
    supports = {s.id: s for s in all_in(session, r.SUPPORTS, "id", ids)}
    members = _members(session, ids)
    sites = {s.code: s for s in r.SITES.all(session)}
    findings = _open_findings(session, ids)
    photos = older_photos(session, ids)
    return tuple(
        _support(
            line,
            (supports[line.support_id], sites[line.site_code]),
            members[line.support_id],
            findings[line.support_id],
            photos[line.support_id],
        )
        for line in lines
    )


def _support(
    line: OverviewLine,
    of: tuple[Support, Site],
    members: list[FieldMember],
    findings: list[OpenFinding],
    photos: tuple[FieldPhoto, ...],
) -> FieldSupport:
    support, site = of
    return FieldSupport(
        code=line.code,
        site_code=line.site_code,
        site=line.site,
        tree=line.tree,
        species=line.species,
        timezone=line.timezone,
        reason=line.reason,
        target=line.target,
        note=support.note,
        access_note=site.access_note,
        quiet_seasons=site.quiet_seasons,
        standing=line.standing.value if line.standing else "",
        standing_reasons=line.standing_reasons,
        due_kind=line.due_kind.value if line.due_kind else "",
        due_on=line.due_on,
        due_sentence=line.due_sentence,
        installed_on=line.installed_on,
        last_on=line.last_on,
        cautions=cautions_for(line.kinds),
        findings=tuple(findings),
        members=tuple(members),
        photos=photos,
    )


def _members(
    session: Session, support_ids: list[UUID]
) -> dict[UUID, list[FieldMember]]:
    members = all_in(session, r.MEMBERS, "support_id", support_ids)
    standing = [member for member in members if member.removed_on is None]
    marks: dict[UUID, list[Mark]] = defaultdict(list)
    for mark in all_in(session, r.MARKS, "member_id", (m.id for m in standing)):
        marks[mark.member_id].append(mark)
    read = Read.of(
        readings_frame(session, support_ids),
        all_in(session, r.OUTLOOKS, "support_id", support_ids),
    )
    found: dict[UUID, list[FieldMember]] = defaultdict(list)
    for member in sorted(standing, key=lambda member: member.code):
        found[member.support_id].append(_member(member, marks[member.id], read))
    return found


def _member(member: Member, marks: list[Mark], read: Read) -> FieldMember:
    own = marks_of(member.kind, sorted(marks, key=lambda mark: mark.code), read)
    return FieldMember(member.code, member.kind.value, member.bearing_deg, own)


def _open_findings(
    session: Session, support_ids: list[UUID]
) -> dict[UUID, list[OpenFinding]]:
    """Findings of standing inspections that nothing has ended, gravest first."""
    table = r.INSPECTIONS.table.c
    visits = r.INSPECTIONS.current(session, table.support_id.in_(support_ids))
    by_root = {visit.root_id: visit for visit in visits if not visit.withdrawn}
    versions = all_in(session, r.FINDINGS, "inspection_id", by_root)
    closures = all_in(session, r.CLOSURES, "finding_id", (f.root_id for f in versions))
    ended = {closure.finding_id for closure in closures}
    replaced = {finding.supersedes_id for finding in versions}
    members = all_in(session, r.MEMBERS, "support_id", support_ids)
    codes = {member.id: member.code for member in members}
    found: dict[UUID, list[OpenFinding]] = defaultdict(list)
    for finding in sorted(versions, key=lambda finding: -finding.grade.rank):
        if finding.id in replaced or finding.root_id in ended:
            continue
        visit = by_root[finding.inspection_id]
        known = FINDINGS.get(finding.code)
        found[visit.support_id].append(
            OpenFinding(
                known.label if known else finding.code,
                finding.grade.value,
                finding.note,
                codes[finding.member_id] if finding.member_id else "",
                visit.inspected_on,
            )
        )
    return found
