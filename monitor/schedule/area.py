"""An area drawn on a map: read, checked, and asked whether a point lies in it."""

import json
import math
from dataclasses import dataclass

from monitor.errors import InvalidInput

Point = tuple[float, float]
"""Longitude and latitude, WGS 84 [deg], in the order GeoJSON has them (RFC 7946)."""

_MOST_CORNERS = 2000


@dataclass(frozen=True, slots=True)
class Area:
    """A polygon on the map; edges are straight in longitude and latitude.

    Attributes
    ----------
    outline : corners, the first not repeated
    holes : outlines of what is left out
    """

    outline: tuple[Point, ...]
    holes: tuple[tuple[Point, ...], ...] = ()

    def holds(self, point: Point) -> bool:
        """Whether the point lies inside or on the edge; a hole's edge is inside."""
        if not _in_ring(point, self.outline):
            return False
        return not any(
            _in_ring(point, hole) and not _on_edge(point, hole) for hole in self.holes
        )


def parse_area(text: str) -> Area:
    """Read a GeoJSON polygon and refuse what is no area.

    Raises
    ------
    InvalidInput
        if it is no polygon, has too few or too many corners, lies off the map, spans
        the date line, has no inside or crosses itself
    """
    try:
        data = json.loads(text)
    except ValueError:
        raise _refusal("it is not GeoJSON") from None
    if isinstance(data, dict) and data.get("type") == "Feature":
        data = data.get("geometry")
    if not isinstance(data, dict) or data.get("type") != "Polygon":
        raise _refusal("a Polygon is expected")
    rings = data.get("coordinates")
    if not isinstance(rings, list) or not rings:
        raise _refusal("it has no corners")
    outline, *holes = (_ring(ring) for ring in rings)
    return Area(outline, tuple(holes))


def _ring(raw: object) -> tuple[Point, ...]:
    if not isinstance(raw, list):
        raise _refusal("its corners can not be read")
    ring = [_point(corner) for corner in raw]
    if len(ring) > 1 and ring[0] == ring[-1]:
        ring.pop()
    if len(set(ring)) < 3:
        raise _refusal(f"{len(set(ring))} corners enclose nothing; draw at least 3")
    if len(ring) > _MOST_CORNERS:
        raise _refusal(f"{len(ring)} corners are more than {_MOST_CORNERS}")
    longitudes = [longitude for longitude, _ in ring]
    if max(longitudes) - min(longitudes) > 180:
        raise _refusal("it spans the date line; draw two areas")
    _check_simple(ring)
    return tuple(ring)


def _point(corner: object) -> Point:
    if not isinstance(corner, list) or len(corner) < 2:
        raise _refusal(f"{corner!r} is no corner; [longitude, latitude] expected")
    if any(isinstance(x, bool) or not isinstance(x, int | float) for x in corner[:2]):
        raise _refusal(f"{corner!r} is no corner; two numbers are expected")
    longitude, latitude = float(corner[0]), float(corner[1])
    if not (abs(longitude) <= 180 and abs(latitude) <= 90):
        raise _refusal(
            f"[{longitude:g}, {latitude:g}] is off the map; longitude comes first, "
            "then latitude"
        )
    return longitude, latitude


def _check_simple(ring: list[Point]) -> None:
    edges = list(zip(ring, ring[1:] + ring[:1], strict=True))
    count = len(edges)
    for i, one in enumerate(edges):
        for j in range(i + 1, count):
            is_neighbour = j == i + 1 or (i == 0 and j == count - 1)
            if not is_neighbour and _cross(one, edges[j]):
                raise _refusal(
                    f"side {i + 1} and side {j + 1} cross; draw it so that it does not "
                    "cross itself"
                )
    twice_area = math.fsum(a[0] * b[1] - b[0] * a[1] for a, b in edges)
    if abs(twice_area) < 1e-14:
        raise _refusal("its corners lie in one line")


def _cross(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    """Whether two sides meet anywhere."""
    (a, b), (c, d) = one, other
    turns = (_turn(a, b, c), _turn(a, b, d), _turn(c, d, a), _turn(c, d, b))
    if turns[0] * turns[1] < 0 and turns[2] * turns[3] < 0:
        return True
    touching = (
        (turns[0], c, a, b),
        (turns[1], d, a, b),
        (turns[2], a, c, d),
        (turns[3], b, c, d),
    )
    return any(turn == 0 and _in_box(p, q, r) for turn, p, q, r in touching)


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _in_box(point: Point, a: Point, b: Point) -> bool:
    return min(a[0], b[0]) <= point[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= point[
        1
    ] <= max(a[1], b[1])


def _on_edge(point: Point, ring: tuple[Point, ...]) -> bool:
    sides = zip(ring, ring[1:] + ring[:1], strict=True)
    return any(_turn(a, b, point) == 0 and _in_box(point, a, b) for a, b in sides)


def _in_ring(point: Point, ring: tuple[Point, ...]) -> bool:
    """Even-odd rule: a ray to the east crosses the outline an odd number of times."""
    if _on_edge(point, ring):
        return True
    x, y = point
    inside = False
    for (x1, y1), (x2, y2) in zip(ring, ring[1:] + ring[:1], strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
            inside = not inside
    return inside


def _refusal(problem: str) -> InvalidInput:
    return InvalidInput(
        f"The area can not be used: {problem}.", field="area", code="sch-023"
    )
