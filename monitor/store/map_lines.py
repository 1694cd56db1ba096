"""Every support with its place, in one lean query: what maps are made of."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.vocabulary import MemberKind, Standing
from monitor.store.models import Base

_T = Base.metadata.tables


@dataclass(frozen=True, slots=True)
class MapLine:
    """One support in service.

    Attributes
    ----------
    place : longitude and latitude of its tree or else its site, None if neither was
        noted [deg]
    standing : None if nothing was concluded yet
    """

    support_id: UUID
    code: str
    site: str
    tree: str
    place: tuple[float, float] | None
    standing: Standing | None
    due_on: date | None
    kinds: tuple[MemberKind, ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """A support in service with a place. [deg]"""

    code: str
    site: str
    place: tuple[float, float]


def placed(session: Session) -> tuple[Placed, ...]:
    """Where the supports in service stand, by code; those without a place left out."""
    support, tree, site = _T["support"], _T["tree"], _T["site"]
    query = (
        sa.select(
            support.c.code,
            site.c.name,
            tree.c.longitude,
            tree.c.latitude,
            site.c.longitude,
            site.c.latitude,
        )
        .join(tree, tree.c.id == support.c.tree_id)
        .join(site, site.c.id == tree.c.site_id)
        .where(support.c.removed_on.is_(None))
        .order_by(support.c.code)
    )
    return tuple(
        Placed(code, name, place)
        for code, name, tx, ty, sx, sy in session.execute(query)
        if (place := _place((tx, ty), (sx, sy))) is not None
    )


def count_by_standing(session: Session) -> tuple[int, dict[Standing | None, int]]:
    """On how many sites supports are in service, and how many stand at each."""
    support, tree, standing = _T["support"], _T["tree"], _T["standing"]
    in_service = support.c.removed_on.is_(None)
    sites = (
        sa.select(sa.func.count(tree.c.site_id.distinct()))
        .join(support, support.c.tree_id == tree.c.id)
        .where(in_service)
    )
    counts = (
        sa.select(standing.c.standing, sa.func.count())
        .select_from(support.outerjoin(standing, standing.c.support_id == support.c.id))
        .where(in_service)
        .group_by(standing.c.standing)
    )
    found = {row[0]: row[1] for row in session.execute(counts)}
    return session.execute(sites).scalar_one(), found


def map_lines(session: Session) -> tuple[MapLine, ...]:
    """Every support in service, in the order of its code."""
    support, tree, site = _T["support"], _T["tree"], _T["site"]
    standing, due = _T["standing"], _T["due"]
    query = (
        sa.select(
            support.c.id,
            support.c.code,
            site.c.name,
            tree.c.code,
            tree.c.longitude,
            tree.c.latitude,
            site.c.longitude,
            site.c.latitude,
            standing.c.standing,
            due.c.due_on,
        )
        .join(tree, tree.c.id == support.c.tree_id)
        .join(site, site.c.id == tree.c.site_id)
        .outerjoin(standing, standing.c.support_id == support.c.id)
        .outerjoin(due, due.c.support_id == support.c.id)
        .where(support.c.removed_on.is_(None))
        .order_by(support.c.code)
    )
    kinds = _kinds(session)
    return tuple(
        MapLine(
            key,
            code,
            name,
            trunk,
            _place((tx, ty), (sx, sy)),
            stands,
            due_on,
            tuple(sorted(kinds.get(key, ()))),
        )
        for key, code, name, trunk, tx, ty, sx, sy, stands, due_on in session.execute(
            query
        )
    )


def _place(
    tree: tuple[float | None, float | None], site: tuple[float | None, float | None]
) -> tuple[float, float] | None:
    for longitude, latitude in (tree, site):
        if longitude is not None and latitude is not None:
            return longitude, latitude
    return None


def _kinds(session: Session) -> dict[UUID, list[MemberKind]]:
    member = _T["member"]
    query = (
        sa.select(member.c.support_id, member.c.kind)
        .where(member.c.removed_on.is_(None))
        .distinct()
    )
    found: dict[UUID, list[MemberKind]] = {}
    for support_id, kind in session.execute(query):
        found.setdefault(support_id, []).append(kind)
    return found
