"""Which supports lie in a box and stood in a time, answered by the database."""

from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.store.models import Base

_T = Base.metadata.tables
_HALF_A_DIGIT = 5e-8
"""Places are shown with seven decimals; half of the last one [deg]."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class FeatureWish:
    """Which supports are wanted, a page of them, by code.

    Attributes
    ----------
    box : west, south, east, north [deg]; a west beyond the east goes over the date line
    since, until : the support stood at some day between them; None for open
    code : of the only one that is wanted
    """

    box: Box | None = None
    since: date | None = None
    until: date | None = None
    code: str = ""
    limit: int = 100
    offset: int = 0


@dataclass(frozen=True, slots=True)
class Extent:
    """From when and where supports are; None if there are none, or none with a place.

    Attributes
    ----------
    box : west, south, east, north [deg]
    """

    begins_on: date | None
    box: Box | None


def features_found(session: Session, wish: FeatureWish) -> tuple[int, list[UUID]]:
    """How many there are, and the ids of the page."""
    support = _T["support"]
    where = _where(wish)
    counted = _joined(sa.select(sa.func.count())).where(*where)
    query = _joined(sa.select(support.c.id)).where(*where).order_by(support.c.code)
    page = query.limit(wish.limit).offset(wish.offset)
    return session.execute(counted).scalar_one(), list(session.execute(page).scalars())


def extent_of(session: Session) -> Extent:
    """Around all of them."""
    east, north = _place()
    edges = (east, sa.func.min), (north, sa.func.min), (east, sa.func.max)
    said = [edge(axis) for axis, edge in (*edges, (north, sa.func.max))]
    first = sa.func.min(_T["support"].c.installed_on)
    begins_on, west, *others = session.execute(_joined(sa.select(first, *said))).one()
    return Extent(begins_on, None if west is None else (west, *others))


def _joined(query: Any) -> Any:  # noqa: ANN401 - a select of any columns
    support, tree, site = _T["support"], _T["tree"], _T["site"]
    onto = support.join(tree, tree.c.id == support.c.tree_id)
    return query.select_from(onto.join(site, site.c.id == tree.c.site_id))


def _place() -> tuple[sa.ColumnElement[float], sa.ColumnElement[float]]:
    """Longitude and latitude of the tree, or else of its site."""
    tree, site = _T["tree"].c, _T["site"].c
    at_tree = sa.and_(tree.longitude.is_not(None), tree.latitude.is_not(None))
    at_site = sa.and_(site.longitude.is_not(None), site.latitude.is_not(None))
    return (
        sa.case((at_tree, tree.longitude), (at_site, site.longitude)),
        sa.case((at_tree, tree.latitude), (at_site, site.latitude)),
    )


def _where(wish: FeatureWish) -> list[sa.ColumnElement[bool]]:
    support = _T["support"].c
    said: list[sa.ColumnElement[bool]] = []
    if wish.code:
        said.append(support.code == wish.code)
    if wish.until is not None:
        said.append(support.installed_on <= wish.until)
    if wish.since is not None:
        stands = support.removed_on.is_(None)
        said.append(sa.or_(stands, support.removed_on >= wish.since))
    return said + (_inside(wish.box) if wish.box else [])


def _inside(box: Box) -> list[sa.ColumnElement[bool]]:
    west, south, east, north = box
    longitude, latitude = _place()
    is_east = longitude >= west - _HALF_A_DIGIT
    is_west = longitude <= east + _HALF_A_DIGIT
    return [
        latitude.between(south - _HALF_A_DIGIT, north + _HALF_A_DIGIT),
        sa.and_(is_east, is_west) if west <= east else sa.or_(is_east, is_west),
    ]
