"""Which supports fit some words, or are owed a look: ids, so many at a time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.vocabulary import Standing
from monitor.store.models import Base

_T = Base.metadata.tables
_SUPPORT, _TREE, _SITE = _T["support"], _T["tree"], _T["site"]
_STANDING, _DUE, _MEMBER = _T["standing"], _T["due"], _T["member"]

NOT_ASSESSED, REMOVED = "not assessed", "removed"
GRAVEST_FIRST = (*reversed(Standing), NOT_ASSESSED, REMOVED)
Where = sa.ColumnElement[bool]


@dataclass(frozen=True, slots=True)
class SupportSearch:
    """Words to look for and the order to answer in.

    Attributes
    ----------
    words : each of them has to occur, anywhere in what is said of a support
    order : name in `ORDERS`
    is_descending : from the far end
    """

    words: str = ""
    order: str = "code"
    is_descending: bool = False


@dataclass(frozen=True, slots=True)
class FoundIds:
    """Some of the supports that fit, and how many fit in all."""

    total: int
    ids: tuple[UUID, ...]


def search_supports(
    session: Session, search: SupportSearch, *, skip: int = 0, most: int | None = None
) -> FoundIds:
    """The supports in which all the words occur, in the order wanted."""
    where = [_occurs(word) for word in search.words.split()]
    key = ORDERS[search.order]
    ordered = [key.desc() if search.is_descending else key, _SUPPORT.c.code]
    return _found(session, where, ordered, (skip, most))


def count_trees(session: Session) -> tuple[int, int, int]:
    """How many supports are in service, under how many trees, and how many are gone."""
    query = sa.select(
        sa.func.count().filter(_SUPPORT.c.removed_on.is_(None)),
        sa.func.count(_SUPPORT.c.tree_id.distinct()).filter(
            _SUPPORT.c.removed_on.is_(None)
        ),
        sa.func.count().filter(_SUPPORT.c.removed_on.is_not(None)),
    )
    in_service, trees, gone = session.execute(query).one()
    return in_service, trees, gone


def count_standings(session: Session) -> dict[Standing, int]:
    """How many supports in service stand at each."""
    query = (
        sa.select(_STANDING.c.standing, sa.func.count())
        .join(_SUPPORT, _SUPPORT.c.id == _STANDING.c.support_id)
        .where(_SUPPORT.c.removed_on.is_(None))
        .group_by(_STANDING.c.standing)
    )
    return {row[0]: row[1] for row in session.execute(query)}


def at_standing(session: Session, standing: Standing, *, most: int) -> tuple[UUID, ...]:
    """The first supports in service at this standing, by code."""
    query = (
        sa.select(_SUPPORT.c.id)
        .join(_STANDING, _STANDING.c.support_id == _SUPPORT.c.id)
        .where(_SUPPORT.c.removed_on.is_(None), _STANDING.c.standing == standing)
        .order_by(_SUPPORT.c.code)
        .limit(most)
    )
    return tuple(session.execute(query).scalars())


def time_zones(session: Session) -> list[str]:
    """The time zones of all sites."""
    return list(session.execute(sa.select(_SITE.c.timezone).distinct()).scalars())


def is_late(zones_by_day: Mapping[date, Sequence[str]]) -> Where:
    """Past its latest day, by the calendar of its site.

    Parameters
    ----------
    zones_by_day : the civil dates that it is now, and the time zones in which it is so
    """
    if not zones_by_day:
        return sa.false()
    at_most = _DUE.c.due_on < max(zones_by_day)  # what the index of the days can tell
    if len(zones_by_day) == 1:
        return sa.and_(at_most, _DUE.c.late_on < max(zones_by_day))
    return sa.and_(
        at_most,
        sa.or_(
            *(
                sa.and_(_SITE.c.timezone.in_(zones), _DUE.c.late_on < today)
                for today, zones in zones_by_day.items()
            )
        ),
    )


def is_due_by(on: date) -> Where:
    """Owed on that day or before."""
    return _DUE.c.due_on <= on


def is_due_after(on: date) -> Where:
    """Owed only later."""
    return _DUE.c.due_on > on


def owed(session: Session, where: Sequence[Where], *, most: int) -> FoundIds:
    """Supports in service that are owed a look, the earliest first."""
    total = session.execute(_owed(sa.func.count(), where)).scalar_one()
    return FoundIds(total, _earliest(session, where, most) if total else ())


def next_owed(session: Session, where: Sequence[Where]) -> tuple[UUID, ...]:
    """The one that is owed a look first; the others are not counted."""
    return _earliest(session, where, 1)


def last_due_on(session: Session, where: Sequence[Where]) -> date | None:
    """The latest day of what is owed."""
    query = _owed(sa.func.max(_DUE.c.due_on), where)
    latest: date | None = session.execute(query).scalar_one()
    return latest


def _earliest(session: Session, where: Sequence[Where], most: int) -> tuple[UUID, ...]:
    query = _owed(_SUPPORT.c.id, where).order_by(_DUE.c.due_on, _SUPPORT.c.code)
    return tuple(session.execute(query.limit(most)).scalars())


def _owed(wanted: sa.ColumnElement[Any], where: Sequence[Where]) -> sa.Select[Any]:
    """Something of the supports in service that are owed a look."""
    return (
        sa.select(wanted)
        .select_from(
            _DUE.join(_SUPPORT, _SUPPORT.c.id == _DUE.c.support_id)
            .join(_TREE, _TREE.c.id == _SUPPORT.c.tree_id)
            .join(_SITE, _SITE.c.id == _TREE.c.site_id)
        )
        .where(_SUPPORT.c.removed_on.is_(None), *where)
    )


def _joined() -> sa.FromClause:
    return (
        _SUPPORT.join(_TREE, _TREE.c.id == _SUPPORT.c.tree_id)
        .join(_SITE, _SITE.c.id == _TREE.c.site_id)
        .outerjoin(_STANDING, _STANDING.c.support_id == _SUPPORT.c.id)
        .outerjoin(_DUE, _DUE.c.support_id == _SUPPORT.c.id)
    )


def _found(
    session: Session,
    where: Sequence[Where],
    ordered: Sequence[sa.ColumnElement[Any]],
    part: tuple[int, int | None],
) -> FoundIds:
    skip, most = part
    counting = sa.select(sa.func.count()).select_from(_joined()).where(*where)
    query = (
        sa.select(_SUPPORT.c.id)
        .select_from(_joined())
        .where(*where)
        .order_by(*ordered)
        .limit(most)
        .offset(skip)
    )
    total = session.execute(counting).scalar_one()
    return FoundIds(total, tuple(session.execute(query).scalars()))


def _word() -> sa.ColumnElement[str]:
    """The standing as the pages call it."""
    standing = sa.cast(_STANDING.c.standing, sa.Text)
    return sa.case(
        (_SUPPORT.c.removed_on.is_not(None), REMOVED),
        else_=sa.func.coalesce(standing, NOT_ASSESSED),
    )


def _rank() -> sa.ColumnElement[int]:
    word = _word()
    ranks = [(word == name, n) for n, name in enumerate(GRAVEST_FIRST)]
    return sa.case(*ranks, else_=len(ranks))


def _occurs(word: str) -> Where:
    said = sa.literal(" ")
    text: sa.ColumnElement[Any] = _SUPPORT.c.code
    for part in (
        _SITE.c.code, _SITE.c.name, _TREE.c.code, _TREE.c.species, _SUPPORT.c.reason,
        _SUPPORT.c.target, _word(),
    ):  # fmt: skip
        text = text + said + part
    has_kind = sa.exists().where(
        _MEMBER.c.support_id == _SUPPORT.c.id,
        _MEMBER.c.removed_on.is_(None),
        sa.cast(_MEMBER.c.kind, sa.Text).icontains(word, autoescape=True),
    )
    return sa.or_(text.icontains(word, autoescape=True), has_kind)


ORDERS: Mapping[str, sa.ColumnElement[Any]] = {
    "code": _SUPPORT.c.code,
    "standing": _rank(),
    "site": _SITE.c.name,
    "tree": _TREE.c.code,
    "species": _TREE.c.species,
    "due": sa.func.coalesce(sa.cast(_DUE.c.due_on, sa.Text), "9999"),
}
