"""Maps on their way out: longitude first, seven decimals, nothing lost."""

import json
import math

import pyogrio
import pytest

from monitor.exchange.geojson import Point, geojson_bytes
from monitor.exchange.geopackage import LAYER, write_geopackage

POINTS = (
    Point(
        "S-1", -20.123456789, 47.5, {"name": '"Old" שדרה 🌳', "due_on": "2026-06-01"}
    ),
    Point("S-2", None, None, {"name": "", "due_on": None}),
    Point("S-3", -20.0, 47.25, {"name": "x", "due_on": None}),
)


def test_a_collection_is_as_the_standard_wants_it():
    """RFC 7946: 3.1.1 longitude first, 3.2 null geometry, 5 box, 11.2 precision."""
    said = json.loads(geojson_bytes(POINTS))

    assert said["features"][0]["geometry"]["coordinates"] == [-20.1234568, 47.5]
    assert said["features"][1]["geometry"] is None
    assert said["bbox"] == [-20.1234568, 47.25, -20.0, 47.5]
    assert "crs" not in said


def test_nothing_located_has_no_box():
    assert "bbox" not in json.loads(geojson_bytes(POINTS[1:2]))


def test_a_number_that_is_none_never_leaves():
    with pytest.raises(ValueError, match="JSON compliant"):
        geojson_bytes([Point("S-1", 0.0, 0.0, {"level": math.nan})])


def test_a_geopackage_gives_the_same_records_back(tmp_path):
    path = tmp_path / "map.gpkg"

    write_geopackage(path, POINTS)

    meta, _, geometry, values = pyogrio.raw.read(path, layer=LAYER)
    assert meta["crs"] == "EPSG:4326"
    assert list(meta["fields"]) == ["key", "name", "due_on"]
    assert values[1].tolist() == ['"Old" שדרה 🌳', "", "x"]
    assert [part is None for part in geometry] == [False, True, False]


def test_a_map_of_nothing_can_be_written(tmp_path):
    write_geopackage(tmp_path / "map.gpkg", ())

    assert pyogrio.read_info(tmp_path / "map.gpkg")["features"] == 0
