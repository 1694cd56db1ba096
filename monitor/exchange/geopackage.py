"""Points for maps as an OGC GeoPackage, EPSG:4326."""

import struct
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pyogrio  # type: ignore[import-untyped]

from monitor.exchange.geojson import Point

LAYER = "supports"
_POINT = 1  # well-known binary, OGC 06-103r4, table 7


def write_geopackage(path: Path, points: Sequence[Point]) -> None:
    """Write one layer; what has no known place is a row without geometry."""
    geometry = np.array([_wkb(point) for point in points], dtype=object)
    names = ["key", *(points[0].said if points else ())]
    columns = [
        [p.key for p in points],
        *([p.said[n] for p in points] for n in names[1:]),
    ]
    pyogrio.raw.write(
        path,
        geometry,
        [np.array(values, dtype=object) for values in columns],
        fields=names,
        layer=LAYER,
        driver="GPKG",
        geometry_type="Point",
        crs="EPSG:4326",
        encoding="UTF-8",
    )


def _wkb(point: Point) -> bytes | None:
    place = point.place
    return struct.pack("<BIdd", 1, _POINT, *place) if place else None
