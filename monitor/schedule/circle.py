"""A circle on the map as an area: "all within so many kilometres of a place"."""

import json
import math

from monitor.errors import InvalidInput
from monitor.schedule.area import Point

EARTH_RADIUS_KM = 6371.0088
"""Mean radius of the Earth (IUGG; Moritz, Geodetic Reference System 1980)."""

LARGEST_KM = 1000.0
CORNERS = 72


def circle(centre: Point, radius_km: float) -> str:
    """The GeoJSON polygon of a circle, its corners a little outside it.

    Parameters
    ----------
    centre : longitude and latitude [deg]
    radius_km : along the ground [km]

    Raises
    ------
    InvalidInput : it is no radius, or the circle reaches a pole or the date line
    """
    if not 0 < radius_km <= LARGEST_KM:
        raise InvalidInput(
            f"A circle of {radius_km:g} km can not be drawn; expected more than 0 and "
            f"at most {LARGEST_KM:g} km.",
            field="radius",
            code="sch-030",
        )
    reach = radius_km / math.cos(math.pi / CORNERS) / EARTH_RADIUS_KM
    ring = [_towards(centre, 2 * math.pi * n / CORNERS, reach) for n in range(CORNERS)]
    longitude, latitude = centre
    if abs(latitude) + math.degrees(reach) >= 90 or any(
        abs(east - longitude) > 180 or abs(east) > 180 for east, _ in ring
    ):
        raise InvalidInput(
            "The circle reaches a pole or the date line; draw an area instead.",
            field="radius",
            code="sch-031",
        )
    corners = [[round(east, 6), round(north, 6)] for east, north in (*ring, ring[0])]
    return json.dumps({"type": "Polygon", "coordinates": [corners]})


def _towards(centre: Point, bearing: float, reach: float) -> Point:
    """Where one comes to along a great circle. [rad in, deg out]

    References
    ----------
    .. [1] Spherical trigonometry, the direct problem on a sphere; from memory.
    """
    east, north = (math.radians(x) for x in centre)
    latitude = math.asin(
        math.sin(north) * math.cos(reach)
        + math.cos(north) * math.sin(reach) * math.cos(bearing)
    )
    longitude = east + math.atan2(
        math.sin(bearing) * math.sin(reach) * math.cos(north),
        math.cos(reach) - math.sin(north) * math.sin(latitude),
    )
    return math.degrees(longitude), math.degrees(latitude)
