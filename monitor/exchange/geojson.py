"""Points for maps as GeoJSON, RFC 7946: WGS 84, longitude first, 7 decimals."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

DECIMALS = 7  # about 1 cm, RFC 7946 section 11.2 asks for no more than is known


@dataclass(frozen=True, slots=True)
class Point:
    """One thing on the map.

    Attributes
    ----------
    key : id of the feature
    longitude, latitude : WGS 84 [deg]; None where the place is not known
    said : plain values by name
    """

    key: str
    longitude: float | None
    latitude: float | None
    said: Mapping[str, str | float | int | None]

    @property
    def place(self) -> tuple[float, float] | None:
        """Longitude and latitude, rounded; None if one is missing. [deg]."""
        if self.longitude is None or self.latitude is None:
            return None
        return round(self.longitude, DECIMALS), round(self.latitude, DECIMALS)


def feature(point: Point) -> dict[str, object]:
    """One feature; its geometry is null where its place is not known."""
    place = point.place
    geometry = {"type": "Point", "coordinates": list(place)} if place else None
    return {
        "type": "Feature",
        "id": point.key,
        "geometry": geometry,
        "properties": dict(point.said),
    }


def collection(points: Sequence[Point]) -> dict[str, object]:
    """All features, with the box around those whose place is known."""
    features = [feature(point) for point in points]
    said: dict[str, object] = {"type": "FeatureCollection", "features": features}
    box = box_of(points)
    return said | {"bbox": box} if box else said


def box_of(points: Iterable[Point]) -> list[float]:
    """West, south, east, north; empty if no place is known. [deg]."""
    places = [place for point in points if (place := point.place)]
    if not places:
        return []
    east, north = (max(axis) for axis in zip(*places, strict=True))
    west, south = (min(axis) for axis in zip(*places, strict=True))
    return [west, south, east, north]


def geojson_bytes(points: Sequence[Point]) -> bytes:
    """The collection as a file; no number in it is not finite."""
    text = json.dumps(collection(points), ensure_ascii=False, allow_nan=False)
    return text.encode()
