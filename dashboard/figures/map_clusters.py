"""Supports that lie too close to be told apart, joined until one comes closer."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

TILE_PX = 512
"""Width of the whole world at zoom 0. [px]"""

CELL_PX = 52
CLOSEST = 17.5
"""From this zoom on only what stands on one and the same place is joined."""

LARGEST_LATITUDE_DEG = 85.0


@dataclass(frozen=True, slots=True)
class MapSpot:
    """One support on the map.

    Attributes
    ----------
    place : longitude and latitude [deg]
    rank : 0 for the gravest state
    words : shown on pointing at it
    """

    code: str
    place: tuple[float, float]
    rank: int
    words: str


@dataclass(frozen=True, slots=True)
class Cluster:
    """Supports drawn as one mark, the gravest first."""

    place: tuple[float, float]
    spots: tuple[MapSpot, ...]

    @property
    def rank(self) -> int:
        """Of the gravest."""
        return self.spots[0].rank

    @property
    def gravest(self) -> int:
        """How many share the gravest state."""
        return sum(spot.rank == self.rank for spot in self.spots)


def clusters(spots: Sequence[MapSpot], zoom: float) -> tuple[Cluster, ...]:
    """Join the supports that fall into one cell of the screen at that zoom."""
    cells: dict[tuple[float, float], list[MapSpot]] = {}
    for spot in spots:
        cells.setdefault(_cell(spot.place, zoom), []).append(spot)
    return tuple(_joined(found) for found in cells.values())


def world_px(place: tuple[float, float], zoom: float) -> tuple[float, float]:
    """Where a place lies on the whole world in Web Mercator, from its corner. [px]

    References
    ----------
    .. [1] EPSG:3857; the form with tan and sec, from memory
    """
    longitude, latitude = place
    turn = math.radians(max(-LARGEST_LATITUDE_DEG, min(LARGEST_LATITUDE_DEG, latitude)))
    width = TILE_PX * 2**zoom
    north = math.log(math.tan(turn) + 1 / math.cos(turn))
    return width * (longitude + 180) / 360, width * (1 - north / math.pi) / 2


def fit(
    places: Sequence[tuple[float, float]], width_px: float, height_px: float
) -> tuple[tuple[float, float], float]:
    """Centre [deg] and zoom that show all places with some room about them."""
    if not places:
        return (0.0, 0.0), 1.0
    west, east = min(p[0] for p in places), max(p[0] for p in places)
    south, north = min(p[1] for p in places), max(p[1] for p in places)
    (x0, y1), (x1, y0) = world_px((west, south), 0), world_px((east, north), 0)
    room = min(
        width_px / max(x1 - x0, 1e-9),
        height_px / max(y1 - y0, 1e-9),
    )
    zoom = math.log2(room) - 0.35
    return ((west + east) / 2, (south + north) / 2), max(0.0, min(16.0, zoom))


def _cell(place: tuple[float, float], zoom: float) -> tuple[float, float]:
    if zoom >= CLOSEST:
        return place
    x, y = world_px(place, zoom)
    return x // CELL_PX, y // CELL_PX


def _joined(spots: list[MapSpot]) -> Cluster:
    order = tuple(sorted(spots, key=lambda spot: (spot.rank, spot.code)))
    count = len(order)
    middle = (
        sum(spot.place[0] for spot in order) / count,
        sum(spot.place[1] for spot in order) / count,
    )
    return Cluster(middle, order)
