"""The ground of the map: what is taken, what is refused, what stays."""

import json
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from demo_data.ground import ground_text
from monitor.errors import InvalidInput
from monitor.services.demo import FOLDER
from monitor.services.showing.map_ground import (
    checked_ground,
    ground_path,
    keep_ground,
    read_ground,
)

LINE = {"type": "LineString", "coordinates": [[-20.0, 47.5], [-19.9, 47.5, 12.0]]}


def as_bytes(thing: object) -> bytes:
    return json.dumps(thing).encode()


def test_only_what_is_drawn_is_kept():
    owner = {"name": "Reed Street", "kind": "street", "owner": "somebody"}
    feature = {"type": "Feature", "geometry": LINE, "properties": owner}

    kept = json.loads(checked_ground(as_bytes(feature)))["features"][0]

    assert kept["properties"] == {"kind": "street", "name": "Reed Street"}
    assert kept["geometry"]["coordinates"] == [[-20.0, 47.5], [-19.9, 47.5]]


@pytest.mark.parametrize(
    ("content", "word"),
    [
        (b"", "not GeoJSON"),
        (b"\xff\xfe\x00", "not GeoJSON"),
        (b"[" * 100_000, "not GeoJSON"),
        (b"[1, 2]", "not GeoJSON"),
        (as_bytes({"type": "FeatureCollection", "features": 3}), "a list"),
        (as_bytes({"type": "FeatureCollection", "features": []}), "nothing"),
        (as_bytes({"type": "Circle"}), "no form"),
        (as_bytes({"type": "Point", "coordinates": [500_000, 5_200_000]}), "degrees"),
        (as_bytes({"type": "Point", "coordinates": ["x", 1]}), "no corner"),
        (b'{"type": "Point", "coordinates": [NaN, 1]}', "no corner"),
        (as_bytes({"type": "Polygon", "coordinates": []}), "corners"),
    ],
)
def test_what_is_no_ground_is_refused_in_words(content, word):
    with pytest.raises(InvalidInput, match=word):
        checked_ground(content)


@given(st.binary(max_size=200))
def test_no_bytes_break_it(content):
    text = '{"features": [1]}'

    with suppress(InvalidInput):
        text = checked_ground(content)

    assert json.loads(text)["features"]


def test_a_bad_file_leaves_what_was_kept(tmp_path):
    keep_ground(tmp_path, as_bytes(LINE))

    with pytest.raises(InvalidInput):
        keep_ground(tmp_path, b"nothing")

    path = ground_path(tmp_path, "")
    assert path is not None
    assert "LineString" in read_ground(path)


def test_a_loaded_ground_goes_before_the_one_that_is_set(tmp_path):
    given_file = tmp_path / "own.geojson"
    given_file.write_bytes(as_bytes(LINE))

    assert ground_path(tmp_path, "") is None
    assert ground_path(tmp_path, str(given_file)) == given_file
    keep_ground(tmp_path, as_bytes(LINE))
    assert ground_path(tmp_path, str(given_file)) == tmp_path / "ground.geojson"


def test_the_ground_of_the_demo_is_made_anew_byte_for_byte_and_taken(tmp_path):
    kept = (FOLDER / "ground.geojson").read_text(encoding="utf-8")

    assert ground_text() == kept
    assert keep_ground(tmp_path, kept.encode()) > 30
