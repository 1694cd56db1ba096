"""What is owed, grouped by when it wants doing, counted and paged by the database."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.vocabulary import MemberKind
from monitor.store.models import Base

_T = Base.metadata.tables
_SUPPORT, _TREE, _SITE = _T["support"], _T["tree"], _T["site"]
_DUE, _MEMBER = _T["due"], _T["member"]

LATE, DUE, OPEN = "late", "due", "open"

ZonesByDay = Mapping[date, Sequence[str]]
"""The civil dates that it is at the sites now, and the time zones in which it is so."""


@dataclass(frozen=True, slots=True)
class OwedSearch:
    """What is asked for.

    Attributes
    ----------
    zones_by_day : which day it is where
    site : name of the only site, empty for all
    kind : of a member that stands, empty for all
    """

    zones_by_day: ZonesByDay
    site: str = ""
    kind: str = ""


@dataclass(frozen=True, slots=True)
class InGroup:
    """A support, and the group it is in."""

    support_id: UUID
    group: str


def count_groups(session: Session, search: OwedSearch) -> dict[str, int]:
    """How many are late, due, open, or owed in a month to come, such as "2031-05"."""
    query = _owed(search, _group(search).label("part"), sa.func.count())
    found = session.execute(query.group_by("part"))
    return dict(found.all())


def first_of_groups(
    session: Session, search: OwedSearch, *, most: int
) -> list[InGroup]:
    """The first few supports of every group, the earliest first."""
    group = _group(search)
    place = sa.func.row_number().over(
        partition_by=group, order_by=(_DUE.c.due_on, _SUPPORT.c.code)
    )
    ranked = _owed(
        search,
        _SUPPORT.c.id,
        _SUPPORT.c.code,
        _DUE.c.due_on,
        group.label("part"),
        place.label("place"),
    ).subquery()
    query = (
        sa.select(ranked.c.id, ranked.c.part)
        .where(ranked.c.place <= most)
        .order_by(ranked.c.due_on, ranked.c.code)
    )
    return [InGroup(*row) for row in session.execute(query)]


def page_of_group(
    session: Session, search: OwedSearch, group: str, *, skip: int, most: int
) -> tuple[UUID, ...]:
    """Some of the supports of one group, the earliest first."""
    query = (
        _owed(search, _SUPPORT.c.id)
        .where(_group(search) == group)
        .order_by(_DUE.c.due_on, _SUPPORT.c.code)
        .limit(most)
        .offset(skip)
    )
    return tuple(session.execute(query).scalars())


def site_names(session: Session) -> list[str]:
    """Names of all sites, each once."""
    query = sa.select(_SITE.c.name).distinct().order_by(_SITE.c.name)
    return list(session.execute(query).scalars())


def kinds_standing(session: Session) -> list[MemberKind]:
    """Kinds of the members that stand, each once."""
    query = sa.select(_MEMBER.c.kind).distinct().where(_MEMBER.c.removed_on.is_(None))
    return sorted(session.execute(query).scalars())


def _owed(
    search: OwedSearch, *wanted: sa.ColumnElement[Any] | sa.Label[Any]
) -> sa.Select[Any]:
    where: list[sa.ColumnElement[bool]] = [_SUPPORT.c.removed_on.is_(None)]
    if search.site:
        where.append(_SITE.c.name == search.site)
    if search.kind:
        where.append(
            sa.exists().where(
                _MEMBER.c.support_id == _SUPPORT.c.id,
                _MEMBER.c.removed_on.is_(None),
                sa.cast(_MEMBER.c.kind, sa.Text) == search.kind,
            )
        )
    return sa.select(*wanted).select_from(_joined()).where(*where)


def _joined() -> sa.FromClause:
    return (
        _DUE.join(_SUPPORT, _SUPPORT.c.id == _DUE.c.support_id)
        .join(_TREE, _TREE.c.id == _SUPPORT.c.tree_id)
        .join(_SITE, _SITE.c.id == _TREE.c.site_id)
    )


def _group(search: OwedSearch) -> sa.ColumnElement[str]:
    """Where today falls in the window; the month if it is still to come."""
    state: list[tuple[sa.ColumnElement[bool], str]] = []
    for today, zones in sorted(search.zones_by_day.items()):
        here = _SITE.c.timezone.in_(zones)
        state += [
            (sa.and_(here, _DUE.c.late_on < today), LATE),
            (sa.and_(here, _DUE.c.due_on <= today), DUE),
            (sa.and_(here, _DUE.c.opens_on <= today), OPEN),
        ]
    month = sa.func.substr(sa.cast(_DUE.c.due_on, sa.Text), 1, 7)
    return sa.case(*state, else_=month) if state else month
