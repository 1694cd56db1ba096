"""What the map draws, and that nothing of it asks another host."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.figures.map_clusters import MapSpot, clusters, fit, world_px
from dashboard.figures.map_drawing import LOOKS, STANDINGS, View, map_drawing
from dashboard.figures.map_ink import DAY, NIGHT, map_style

OAK = MapSpot("P-01", (-19.99, 47.50), 0, "P-01 make safe")
ASH = MapSpot("P-02", (-19.99, 47.50), 3, "P-02 holding")
FAR = MapSpot("C-01", (-19.90, 47.56), 2, "C-01 watch")
PLACES = st.tuples(st.floats(-179, 179), st.floats(-80, 80))


def trace(figure, name):
    return next(one for one in figure.data if one.name == name)


def test_supports_on_one_place_are_one_ring_with_their_count_and_gravest():
    figure = map_drawing([OAK, ASH, FAR], View(DAY, STANDINGS))

    joined = trace(figure, "joined")
    assert list(joined.text) == ["2"]
    assert joined.customdata[0] == ["P-01", "P-02"]
    assert list(trace(figure, "gravest").text) == ["▣ 1"]
    assert list(trace(figure, "single").text) == ["◐"]


def test_every_standing_has_its_own_shape_and_word():
    assert len(set(STANDINGS.shapes)) == len(STANDINGS.words) == 5
    assert len(set(LOOKS.shapes)) == len(LOOKS.words) == 3


def test_an_outline_is_closed():
    ring = ((-20.0, 47.4), (-19.9, 47.4), (-19.9, 47.6))

    figure = map_drawing([OAK], View(DAY, LOOKS, outline=ring))

    drawn = trace(figure, "area")
    assert (drawn.lon[0], drawn.lat[0]) == (drawn.lon[-1], drawn.lat[-1])
    assert len(drawn.lon) == 4


def test_a_map_without_places_is_a_sentence():
    figure = map_drawing([], View(DAY, STANDINGS))

    assert "never noted" in figure.layout.annotations[0].text


@pytest.mark.parametrize("ink", [DAY, NIGHT])
def test_the_style_names_no_other_host_unless_tiles_are_set(ink):
    plain = map_style(ink, ground_url="", tile_url="")
    ground = map_style(ink, ground_url="http://here/map/ground.geojson", tile_url="")
    tiled = map_style(ink, ground_url="", tile_url="https://tiles.example/{z}/{x}/{y}")

    assert "http" not in json.dumps(plain)
    assert json.dumps(ground).count("http") == 1
    assert "glyphs" not in ground
    assert "sprite" not in ground
    assert tiled["sources"]["tiles"]["tiles"] == ["https://tiles.example/{z}/{x}/{y}"]


@given(st.lists(PLACES, max_size=40), st.floats(0, 20))
def test_no_support_is_lost_or_drawn_twice(places, zoom):
    spots = [MapSpot(f"S-{n}", p, n % 5, "") for n, p in enumerate(places)]

    found = clusters(spots, zoom)

    codes = sorted(spot.code for one in found for spot in one.spots)
    assert codes == sorted(spot.code for spot in spots)
    assert all(one.rank == min(s.rank for s in one.spots) for one in found)


def test_near_by_only_what_shares_a_place_is_joined():
    spots = [OAK, ASH, MapSpot("P-03", (-19.99, 47.500001), 3, "")]

    assert sorted(len(one.spots) for one in clusters(spots, 18)) == [1, 2]


def test_the_middle_of_the_world_is_the_middle_of_the_square():
    # Web Mercator, by hand: 0, 0 lies in the middle; 512 px at zoom 0.
    assert world_px((0.0, 0.0), 0) == pytest.approx((256.0, 256.0))
    # Web Mercator ends where the square does, at 85.0511 degrees north (EPSG:3857).
    assert world_px((0.0, 85.0), 0)[1] == pytest.approx(0.0, abs=1.0)


@given(st.lists(PLACES, min_size=1, max_size=20))
def test_everything_fits_on_the_screen(places):
    (east, north), zoom = fit(places, 700, 500)

    x0, y0 = world_px((east, north), zoom)
    for place in places:
        x, _ = world_px(place, zoom)
        assert abs(x - x0) <= 700
    assert 0 <= zoom <= 16
    assert y0 >= 0
