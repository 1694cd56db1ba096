"""Every support in one line, in one query: what the lists are made of."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.vocabulary import InspectionKind, MemberKind, Standing
from monitor.store.models import Base
from monitor.store.repository import as_known

_T = Base.metadata.tables


@dataclass(frozen=True, slots=True)
class OverviewLine:
    """One support with where it is, how it stands and what is owed.

    Attributes
    ----------
    standing : None if nothing was concluded yet
    opens_on, due_on, late_on : the window of what is owed, None if nothing is
    last_on : day of the newest inspection, None if there is none
    kinds : of the members that stand
    """

    support_id: UUID
    code: str
    reason: str
    target: str
    installed_on: date
    removed_on: date | None
    site_code: str
    site: str
    timezone: str
    tree: str
    species: str
    standing: Standing | None
    standing_reasons: tuple[str, ...]
    due_kind: InspectionKind | None
    opens_on: date | None
    due_on: date | None
    late_on: date | None
    due_sentence: str
    last_on: date | None
    kinds: tuple[MemberKind, ...]


@dataclass(frozen=True, slots=True)
class DoubtfulLine:
    """A series whose newest reading does not fit and wants a repeat."""

    support_id: UUID
    code: str
    site: str
    series: str
    member: str
    mark: str
    sentence: str


def overview(
    session: Session, support_ids: Sequence[UUID] | None = None
) -> list[OverviewLine]:
    """Every support in the order of its code, or those named in the order given."""
    if support_ids is None:
        return _lines(session, None)
    place = {key: n for n, key in enumerate(support_ids)}
    lines = _lines(session, support_ids)
    return sorted(lines, key=lambda line: place[line.support_id])


def _lines(session: Session, support_ids: Sequence[UUID] | None) -> list[OverviewLine]:
    support, tree, site = _T["support"], _T["tree"], _T["site"]
    standing, due, last = _T["standing"], _T["due"], _last_looks(support_ids)
    query = (
        sa.select(
            support.c.id.label("support_id"),
            support.c.code,
            support.c.reason,
            support.c.target,
            support.c.installed_on,
            support.c.removed_on,
            site.c.code.label("site_code"),
            site.c.name.label("site"),
            site.c.timezone,
            tree.c.code.label("tree"),
            tree.c.species,
            standing.c.standing,
            standing.c.reasons.label("standing_reasons"),
            due.c.kind.label("due_kind"),
            due.c.opens_on,
            due.c.due_on,
            due.c.late_on,
            due.c.sentence.label("due_sentence"),
            last.c.last_on,
        )
        .join(tree, tree.c.id == support.c.tree_id)
        .join(site, site.c.id == tree.c.site_id)
        .outerjoin(standing, standing.c.support_id == support.c.id)
        .outerjoin(due, due.c.support_id == support.c.id)
        .outerjoin(last, last.c.support_id == support.c.id)
        .where(*_among(support.c.id, support_ids))
        .order_by(support.c.code)
    )
    kinds = _kinds(session, support_ids)
    return [
        OverviewLine(
            **{
                **row,
                "standing_reasons": tuple(row["standing_reasons"] or ()),
                "due_sentence": row["due_sentence"] or "",
                "kinds": tuple(kinds[row["support_id"]]),
            }
        )
        for row in session.execute(query).mappings()
    ]


def doubtful(session: Session) -> list[DoubtfulLine]:
    """Every series in service whose newest reading wants a repeat, by code."""
    outlook, support, mark = _T["outlook"], _T["support"], _T["mark"]
    member, tree, site = _T["member"], _T["tree"], _T["site"]
    query = (
        sa.select(
            outlook.c.support_id,
            support.c.code,
            site.c.name.label("site"),
            outlook.c.series,
            member.c.code.label("member"),
            mark.c.code.label("mark"),
            outlook.c.sentence,
        )
        .join(support, support.c.id == outlook.c.support_id)
        .join(tree, tree.c.id == support.c.tree_id)
        .join(site, site.c.id == tree.c.site_id)
        .join(mark, mark.c.id == outlook.c.mark_id)
        .join(member, member.c.id == mark.c.member_id)
        .where(*_is_doubtful())
        .order_by(support.c.code, member.c.code, mark.c.code, outlook.c.series)
    )
    return [DoubtfulLine(**row) for row in session.execute(query).mappings()]


def known_words(
    session: Session, table: str, column: str, *, most: int
) -> tuple[str, ...]:
    """What a column holds, each once and in order, so many at most."""
    wanted = _T[table].c[column]
    query = sa.select(wanted).where(wanted != "").distinct().order_by(wanted)
    return tuple(session.execute(query.limit(most)).scalars())


def _is_doubtful() -> tuple[sa.ColumnElement[bool], ...]:
    outlook, support, member = _T["outlook"], _T["support"], _T["member"]
    return (
        outlook.c.unconfirmed.is_(sa.true()),  # as the partial index says it
        support.c.removed_on.is_(None),
        member.c.removed_on.is_(None),
    )


def _among(
    column: sa.ColumnElement[UUID], support_ids: Sequence[UUID] | None
) -> tuple[sa.ColumnElement[bool], ...]:
    return () if support_ids is None else (column.in_(support_ids),)


def _last_looks(support_ids: Sequence[UUID] | None) -> sa.Subquery:
    inspection = _T["inspection"]
    return (
        sa.select(
            inspection.c.support_id,
            sa.func.max(inspection.c.inspected_on).label("last_on"),
        )
        .where(
            inspection.c.withdrawn == sa.literal(False, inspection.c.withdrawn.type),
            *as_known(inspection, None),
            *_among(inspection.c.support_id, support_ids),
        )
        .group_by(inspection.c.support_id)
        .subquery()
    )


def _kinds(
    session: Session, support_ids: Sequence[UUID] | None
) -> dict[UUID, list[MemberKind]]:
    member = _T["member"]
    query = (
        sa.select(member.c.support_id, member.c.kind)
        .where(member.c.removed_on.is_(None), *_among(member.c.support_id, support_ids))
        .distinct()
    )
    kinds: dict[UUID, list[MemberKind]] = defaultdict(list)
    for support_id, kind in session.execute(query):
        kinds[support_id].append(kind)
    return defaultdict(list, {key: sorted(found) for key, found in kinds.items()})
