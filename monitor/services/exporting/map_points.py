"""Supports as points for maps: where they are, how they stand, what is owed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from monitor.domain.conclusions import Due, SupportStanding
from monitor.domain.places import Site, Tree
from monitor.domain.supports import Support
from monitor.exchange.geojson import Point
from monitor.mechanics.screening import CAUTION
from monitor.services.exporting.chosen import Choice, chosen
from monitor.store import Session, records
from monitor.store.lookup import all_in
from monitor.store.map_features import FeatureWish, features_found


def map_points(session: Session, choice: Choice) -> list[Point]:
    """Every support that is wanted, at its tree or else at its site.

    Raises
    ------
    NotFound : there is no such site, owner or kind of member
    """
    found = chosen(session, choice)
    return _points(session, Grounds(found.trees, found.sites), found.supports)


def map_page(session: Session, wish: FeatureWish) -> tuple[int, list[Point]]:
    """How many supports are in the box and the time, and those of the page."""
    many, keys = features_found(session, wish)
    supports = all_in(session, records.SUPPORTS, "id", keys)
    trees = {
        tree.id: tree
        for tree in all_in(session, records.TREES, "id", [s.tree_id for s in supports])
    }
    sites = {
        site.id: site
        for site in all_in(
            session, records.SITES, "id", [t.site_id for t in trees.values()]
        )
    }
    supports.sort(key=lambda support: support.code)
    return many, _points(session, Grounds(trees, sites), supports)


@dataclass(frozen=True, slots=True)
class Grounds:
    """What supports stand on."""

    trees: Mapping[UUID, Tree]
    sites: Mapping[UUID, Site]


def _points(
    session: Session, grounds: Grounds, supports: Sequence[Support]
) -> list[Point]:
    keys = [support.id for support in supports]
    standings = {
        s.support_id: s for s in all_in(session, records.STANDINGS, "support_id", keys)
    }
    dues = {d.support_id: d for d in all_in(session, records.DUES, "support_id", keys)}
    return [
        _point(grounds, support, standings.get(support.id), dues.get(support.id))
        for support in supports
    ]


def _point(
    grounds: Grounds,
    support: Support,
    stands: SupportStanding | None,
    due: Due | None,
) -> Point:
    tree = grounds.trees[support.tree_id]
    site = grounds.sites[tree.site_id]
    longitude, latitude, source = _place(tree, site)
    return Point(
        key=support.code,
        longitude=longitude,
        latitude=latitude,
        said={
            "support": support.code,
            "site": site.code,
            "site_name": site.name,
            "tree": tree.code,
            "species": tree.species,
            "installed_on": support.installed_on.isoformat(),
            "removed_on": support.removed_on.isoformat()
            if support.removed_on
            else None,
            "standing": stands.standing.value if stands else None,
            "reasons": "; ".join(stands.reasons) if stands else None,
            "due_on": due.due_on.isoformat() if due else None,
            "late_on": due.late_on.isoformat() if due else None,
            "why_due": due.sentence if due else None,
            "position_of": source,
            "caution": CAUTION,
        },
    )


def _place(tree: Tree, site: Site) -> tuple[float | None, float | None, str]:
    if tree.longitude is not None and tree.latitude is not None:
        return tree.longitude, tree.latitude, "tree"
    if site.longitude is not None and site.latitude is not None:
        return site.longitude, site.latitude, "site"
    return None, None, "not known"
