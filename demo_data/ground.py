"""The ground of Velmarsh: invented streets, squares, greens and water, as GeoJSON."""

import json
from collections.abc import Iterator

_SOUTH, _WEST = 47.4900, -20.0150
_STEP_NORTH, _STEP_EAST = 0.0009, 0.00135

Point = tuple[float, float]

# name, first block east and north, last block east and north
_STREETS = (
    ("Salt Road", 17, 7.5, 27, 7.5), ("Quay Street", 17, 9.5, 27, 9.5),
    ("Sailmaker Street", 8, 11.5, 27, 11.5), ("Chapel Row", 8, 13.5, 27, 13.5),
    ("Rampart Street", 8, 15.5, 19, 15.5), ("Orchard Road", 1, 17.5, 17, 17.5),
    ("School Street", 8, 19.5, 17, 19.5), ("Tannery Row", 8, 21.5, 17, 21.5),
    ("North Road", 8, 23.5, 17, 23.5), ("Reed Street", 1, 7.5, 17, 7.5),
    ("Weir Lane", 1, 5.5, 10, 5.5), ("Bridge Street", 1, 9.5, 17, 9.5),
    ("Perry Lane", 1, 19.5, 8, 19.5), ("Glebe Walk", 1, 21.5, 8, 21.5),
    ("Ferry Lane", 1.5, 4, 1.5, 23), ("Mill Street", 5.5, 4, 5.5, 23),
    ("West Gate", 8, 6, 8, 25), ("Old Street", 10.5, 9.5, 10.5, 25),
    ("Market Street", 12.5, 9.5, 12.5, 25), ("Bell Street", 14.5, 9.5, 14.5, 25),
    ("Tollgate Street", 17, 6, 17, 25), ("Ropewalk", 19.5, 7.5, 19.5, 13.5),
    ("Customs Street", 22.5, 7.5, 22.5, 13.5), ("Beacon Lane", 25.5, 7.5, 25.5, 13.5),
)  # fmt: skip

# kind, name, west, south, east, north in blocks
_GROUNDS = (
    ("square", "Market Square", 10.7, 11.7, 12.3, 12.5),
    ("square", "Cattle Market", 12.7, 21.7, 14.2, 22.5),
    ("square", "Customs Green", 22.7, 9.7, 24.2, 11.2),
    ("green", "Quay Gardens", 19.8, 8.4, 22.2, 9.3),
    ("green", "Weir Meadow", 2.0, 4.2, 5.2, 5.3),
    ("green", "Old Ramparts", 8.3, 14.6, 12.2, 15.3),
    ("green", "Infirmary Garden", 14.7, 20.4, 16.6, 21.3),
    ("green", "Cemetery", 14.7, 23.7, 16.6, 25.0),
    ("green", "Beehive Green", 3.8, 18.3, 5.3, 19.3),
    ("green", "Beacon Hill", 24.0, 11.8, 26.6, 13.2),
)

_SHORE = ((0, 2.6), (6, 3.1), (11, 4.6), (16, 5.9), (18, 6.9), (24, 6.9), (26, 6.2),
          (28.5, 7.6), (28.5, 0), (0, 0))  # fmt: skip
_WEIR = ((7.1, 26), (7.0, 20), (6.7, 14), (7.2, 9), (6.8, 6), (7.4, 3.5), (8.2, 3.7),
         (7.5, 6), (7.8, 9), (7.3, 14), (7.6, 20), (7.7, 26))  # fmt: skip
_DISTRICTS = (
    ("Old Town", 12.5, 13.0), ("Harbour", 21.0, 10.5), ("Weirside", 3.6, 6.5),
    ("Tollgate", 12.5, 20.5), ("Orchards", 3.6, 20.5),
)  # fmt: skip


def ground_text() -> str:
    """The file of the ground."""
    collection = {"type": "FeatureCollection", "features": list(_features())}
    return json.dumps(collection, separators=(",", ":")) + "\n"


def _features() -> Iterator[dict[str, object]]:
    yield _area("water", "Outer Roads", _SHORE)
    yield _area("water", "River Weir", _WEIR)
    for kind, name, west, south, east, north in _GROUNDS:
        ring = ((west, south), (east, south), (east, north), (west, north))
        yield _area(kind, name, ring)
    for name, *ends in _STREETS:
        line = [_place(*ends[:2]), _place(*ends[2:])]
        yield _feature("street", name, "LineString", line)
    for name, east, north in _DISTRICTS:
        yield _feature("district", name, "Point", _place(east, north))


def _area(kind: str, name: str, ring: tuple[Point, ...]) -> dict[str, object]:
    corners = [_place(east, north) for east, north in (*ring, ring[0])]
    return _feature(kind, name, "Polygon", [corners])


def _feature(kind: str, name: str, form: str, places: object) -> dict[str, object]:
    return {
        "type": "Feature",
        "properties": {"kind": kind, "name": name},
        "geometry": {"type": form, "coordinates": places},
    }


def _place(east: float, north: float) -> list[float]:
    """Longitude and latitude of a corner counted in blocks. [deg]"""
    longitude = _WEST + east * _STEP_EAST
    return [round(longitude, 6), round(_SOUTH + north * _STEP_NORTH, 6)]
