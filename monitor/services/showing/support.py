"""The whole life of one support, gathered for its page."""

from dataclasses import dataclass, replace
from datetime import date, datetime

from monitor.clock import local_date
from monitor.domain.conclusions import Due, SupportStanding
from monitor.domain.facts import FACTS, fact_spec
from monitor.domain.inspections import Inspection, Photo, Work
from monitor.domain.ledger import Change
from monitor.domain.places import Site, Tree
from monitor.domain.quantities import QUANTITIES, SERIES
from monitor.domain.supports import Fact, Mark, Member, Support
from monitor.errors import NotFound
from monitor.services.recording.dossier import nearest_support
from monitor.services.recording.photos import once_each
from monitor.services.showing.findings import FindingView, findings_of
from monitor.services.showing.flags import Flag, flags_of
from monitor.services.showing.series import SeriesView, series_view
from monitor.store import Session
from monitor.store import records as r
from monitor.store.frames import readings_frame, segments_frame
from monitor.store.history import changes_of

LEDGER_LINES = 60
_SERIES_OF = {name: q.series_name for name, q in QUANTITIES.items()}


@dataclass(frozen=True, slots=True)
class FactView:
    """One as-built fact, as people say it and as it was typed."""

    label: str
    given: str


@dataclass(frozen=True, slots=True)
class MemberView:
    """One member with its marks and as-built facts."""

    member: Member
    marks: tuple[Mark, ...]
    facts: tuple[FactView, ...]
    numbers: dict[str, float]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a support stands and whose it is."""

    tree: Tree
    site: Site
    owner: str
    today: date


@dataclass(frozen=True, slots=True)
class SupportView:
    """One support with everything the record says of it."""

    support: Support
    place: Place
    installer: str
    standing: SupportStanding | None
    due: Due | None
    members: tuple[MemberView, ...]
    series: tuple[SeriesView, ...]
    visits: tuple[Inspection, ...]
    findings: tuple[FindingView, ...]
    works: tuple[Work, ...]
    flags: tuple[Flag, ...]
    photos: tuple[Photo, ...]
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class SupportReadings:
    """All that was read at one support, with what its time axis needs."""

    support: Support
    place: Place
    members: tuple[MemberView, ...]
    series: tuple[SeriesView, ...]
    visits: tuple[Inspection, ...]
    flags: tuple[Flag, ...]


def support_readings(session: Session, code: str, now: datetime) -> SupportReadings:
    """Every series of one support, with looks, works and events along it.

    Raises
    ------
    NotFound : no support has that code
    """
    found = find_support(session, code)
    place = place_of(session, found, now)
    members = members_of(session, found)
    return SupportReadings(
        support=found,
        place=place,
        members=members,
        series=series_of(session, found, members),
        visits=visits_of(session, found),
        flags=flags_of(session, found, place.site, _works(session, found)),
    )


def support(session: Session, code: str, now: datetime) -> SupportView:
    """Everything the record says of one support.

    Raises
    ------
    NotFound : no support has that code
    """
    view = support_in_words(session, code, now)
    return replace(view, series=series_of(session, view.support, view.members))


def support_in_words(session: Session, code: str, now: datetime) -> SupportView:
    """The same without its readings, which take longest: its `series` are empty.

    Raises
    ------
    NotFound : no support has that code
    """
    found = find_support(session, code)
    place = place_of(session, found, now)
    members = members_of(session, found)
    works = _works(session, found)
    visits = visits_of(session, found)
    findings = findings_of(session, visits)
    return SupportView(
        support=found,
        place=place,
        installer=_party(session, found),
        standing=standing_of(session, found),
        due=r.DUES.find(session, support_id=found.id),
        members=members,
        series=(),
        visits=visits,
        findings=findings,
        works=tuple(sorted(works, key=lambda work: work.done_on)),
        flags=flags_of(session, found, place.site, works),
        photos=_photos(session, found),
        changes=_changes(session, found, visits, works),
    )


def find_support(session: Session, code: str) -> Support:
    """The support with that code on its tag, whatever the case it is typed in."""
    found = r.SUPPORTS.find(session, code=code) or r.SUPPORTS.find(
        session, code=code.strip().upper()
    )
    if found is None:
        raise NotFound("support", code, hint=nearest_support(session, code))
    return found


def standing_of(session: Session, found: Support) -> SupportStanding | None:
    """How it was last said to stand, None if it was never assessed."""
    return r.STANDINGS.find(session, support_id=found.id)


def place_of(session: Session, found: Support, now: datetime) -> Place:
    """Tree, site, owner, and the civil date there."""
    tree = r.TREES.get(session, found.tree_id)
    site = r.SITES.get(session, tree.site_id)
    owner = r.PARTIES.get(session, site.owner_id).name
    return Place(tree, site, owner, local_date(now, site.timezone))


def members_of(session: Session, found: Support) -> tuple[MemberView, ...]:
    """Members in the order of their codes, those that stand first."""
    members = r.MEMBERS.all(session, r.MEMBERS.table.c.support_id == found.id)
    ids = [member.id for member in members]
    marks = r.MARKS.all(session, r.MARKS.table.c.member_id.in_(ids))
    facts = r.FACTS.current(session, r.FACTS.table.c.member_id.in_(ids))
    members.sort(key=lambda member: (member.removed_on is not None, member.code))
    return tuple(_member_view(member, marks, facts) for member in members)


def visits_of(session: Session, found: Support) -> tuple[Inspection, ...]:
    """Inspections that stand, newest first."""
    visits = r.INSPECTIONS.current(
        session, r.INSPECTIONS.table.c.support_id == found.id
    )
    kept = [visit for visit in visits if not visit.withdrawn]
    return tuple(sorted(kept, key=lambda visit: visit.inspected_on, reverse=True))


def series_of(
    session: Session, found: Support, members: tuple[MemberView, ...]
) -> tuple[SeriesView, ...]:
    """Every series that was ever read, member by member."""
    rows = readings_frame(session, [found.id])
    starts = segments_frame(session, [found.id])
    rows = rows.assign(series=rows["quantity"].map(_SERIES_OF))
    outlooks = {
        (outlook.mark_id, outlook.series): outlook
        for outlook in r.OUTLOOKS.all(
            session, r.OUTLOOKS.table.c.support_id == found.id
        )
    }
    views = []
    for view in members:
        for mark in view.marks:
            here = rows[rows["mark_id"] == mark.id]
            for series in (s for s in SERIES if s in set(here["series"])):
                is_start = (starts["mark_id"] == mark.id) & (starts["series"] == series)
                views.append(
                    series_view(
                        here[here["series"] == series],
                        tuple(starts.loc[is_start, "starts_on"]),
                        (series, view.member, mark),
                        outlooks.get((mark.id, series)),
                    )
                )
    return tuple(views)


def _member_view(member: Member, marks: list[Mark], facts: list[Fact]) -> MemberView:
    own = {fact.name: fact for fact in facts if fact.member_id == member.id}
    order = [spec.name for spec in FACTS[member.kind] if spec.name in own]
    order += [name for name in own if name not in order]
    shown = []
    for name in order:
        spec = fact_spec(member.kind, name)
        shown.append(FactView(spec.label if spec else name, own[name].given))
    return MemberView(
        member,
        tuple(
            sorted(
                (mark for mark in marks if mark.member_id == member.id),
                key=lambda mark: mark.code,
            )
        ),
        tuple(shown),
        {f.name: f.number for f in own.values() if f.number is not None},
    )


def _works(session: Session, found: Support) -> list[Work]:
    works = r.WORKS.current(session, r.WORKS.table.c.support_id == found.id)
    return [work for work in works if not work.withdrawn]


def _party(session: Session, found: Support) -> str:
    if found.installer_id is None:
        return ""
    return r.PARTIES.get(session, found.installer_id).name


def _photos(session: Session, found: Support) -> tuple[Photo, ...]:
    photos = r.PHOTOS.all(session, r.PHOTOS.table.c.support_id == found.id)
    return tuple(
        sorted(once_each(photos), key=lambda photo: photo.taken_on or date.min)
    )


def _changes(
    session: Session, found: Support, visits: tuple[Inspection, ...], works: list[Work]
) -> tuple[Change, ...]:
    subjects = [f"support {found.id}", f"support {found.code}"]
    subjects += [f"inspection {visit.root_id}" for visit in visits]
    subjects += [f"work {work.root_id}" for work in works]
    return tuple(changes_of(session, subjects, at_most=LEDGER_LINES))
