"""Where things stand on the map."""

from monitor.domain.places import Site, Tree
from monitor.schedule.area import Point


def place_of(tree: Tree, site: Site) -> Point | None:
    """Longitude and latitude of a tree, or else of its site. [deg]"""
    for one in (tree, site):
        if one.longitude is not None and one.latitude is not None:
            return one.longitude, one.latitude
    return None
