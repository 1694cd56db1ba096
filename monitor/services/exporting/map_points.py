"""Supports as points for maps: where they are, how they stand, what is owed."""

from monitor.domain.conclusions import Due, SupportStanding
from monitor.domain.places import Site, Tree
from monitor.domain.supports import Support
from monitor.exchange.geojson import Point
from monitor.services.exporting.analyst_lists import CAUTION
from monitor.services.exporting.chosen import Choice, Chosen, chosen
from monitor.store import Session, records
from monitor.store.lookup import all_in


def map_points(session: Session, choice: Choice) -> list[Point]:
    """Every support that is wanted, at its tree or else at its site.

    Raises
    ------
    NotFound : there is no such site, owner or kind of member
    """
    found = chosen(session, choice)
    standings = {
        s.support_id: s
        for s in all_in(session, records.STANDINGS, "support_id", found.ids)
    }
    dues = {
        d.support_id: d for d in all_in(session, records.DUES, "support_id", found.ids)
    }
    return [
        _point(found, support, standings.get(support.id), dues.get(support.id))
        for support in found.supports
    ]


def _point(
    found: Chosen,
    support: Support,
    stands: SupportStanding | None,
    due: Due | None,
) -> Point:
    tree = found.trees[support.tree_id]
    site = found.sites[tree.site_id]
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
