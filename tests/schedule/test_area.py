"""An area from a map is read, refused with a reason, and asked for points."""

import json
import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.errors import InvalidInput
from monitor.schedule.area import parse_area

SQUARE = [[-20.0, 47.0], [-19.0, 47.0], [-19.0, 48.0], [-20.0, 48.0]]
GRID = st.integers(-20, 20)


def geojson(*rings, kind="Polygon"):
    return json.dumps({"type": kind, "coordinates": list(rings)})


def test_a_square_holds_its_middle_its_edge_and_its_corner():
    area = parse_area(geojson([*SQUARE, SQUARE[0]]))

    assert area.holds((-19.5, 47.5))
    assert area.holds((-19.0, 47.3))
    assert area.holds((-20.0, 48.0))
    assert not area.holds((-18.999, 47.5))


def test_a_ring_that_is_not_closed_is_closed_for_you():
    assert parse_area(geojson(SQUARE)) == parse_area(geojson([*SQUARE, SQUARE[0]]))


def test_a_feature_is_unwrapped():
    feature = {"type": "Feature", "geometry": json.loads(geojson(SQUARE))}

    assert parse_area(json.dumps(feature)) == parse_area(geojson(SQUARE))


def test_a_hole_is_left_out_but_its_edge_is_not():
    hole = [[-19.7, 47.3], [-19.3, 47.3], [-19.3, 47.7], [-19.7, 47.7]]
    area = parse_area(geojson(SQUARE, hole))

    assert not area.holds((-19.5, 47.5))
    assert area.holds((-19.7, 47.5))
    assert area.holds((-19.9, 47.5))


def test_a_dent_is_outside():
    dented = [[0, 0], [4, 0], [4, 4], [2, 1], [0, 4]]

    area = parse_area(geojson(dented))

    assert not area.holds((2, 2))
    assert area.holds((0.5, 2))
    assert area.holds((3.5, 2))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("a circle", "not GeoJSON"),
        ("[]", "Polygon is expected"),
        (geojson(SQUARE, kind="LineString"), "Polygon is expected"),
        (geojson(), "no corners"),
        (geojson([[0, 0], [1, 1], [0, 0]]), "2 corners enclose nothing"),
        (geojson([[0, 0], [1, 1], [2, 2]]), "in one line"),
        (geojson([[0, 0], [2, 2], [2, 0], [0, 2]]), "side 1 and side 3 cross"),
        (geojson([[0, 0], [4, 0], [4, 4], [2, 0], [0, 4]]), "cross"),
        (geojson([[47.0, -200], [1, 1], [0, 2]]), "longitude comes first"),
        (geojson([["a", 1], [1, 1], [0, 2]]), "two numbers"),
        (geojson([[1], [1, 1], [0, 2]]), "longitude, latitude"),
        (geojson([[179, 0], [-179, 0], [-179, 1], [179, 1]]), "date line"),
        (geojson("round"), "can not be read"),
    ],
)
def test_what_is_no_area_is_refused_in_words(text, says):
    with pytest.raises(InvalidInput, match=says):
        parse_area(text)


@given(st.integers(3, 12), st.floats(0, 6.28), GRID, GRID)
def test_a_convex_area_holds_what_lies_left_of_all_its_sides(corners, turn, x, y):
    """Half-planes are an independent test of the inside of a convex outline."""
    angles = [turn + 2 * math.pi * i / corners for i in range(corners)]
    ring = [[15 * math.cos(a), 15 * math.sin(a)] for a in angles]
    sides = list(zip(ring, ring[1:] + ring[:1], strict=True))
    left = [(b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]) for a, b in sides]

    is_clear = min(abs(side) for side in left) > 1e-9
    if is_clear:
        assert parse_area(geojson(ring)).holds((x, y)) == all(s > 0 for s in left)


@given(st.lists(st.tuples(GRID, GRID), min_size=3, max_size=7, unique=True))
def test_an_outline_is_refused_exactly_when_two_of_its_sides_meet(corners):
    """Brute force: sides as parametric lines in exact fractions."""
    expected = _is_simple(corners)

    try:
        parse_area(geojson([list(corner) for corner in corners]))
    except InvalidInput:
        assert not expected
    else:
        assert expected


def _is_simple(ring):

    sides = list(zip(ring, ring[1:] + ring[:1], strict=True))
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in sides)
    if twice == 0:
        return False
    count = len(sides)
    for i in range(count):
        for j in range(i + 1, count):
            near = j == i + 1 or (i == 0 and j == count - 1)
            if not near and _meet(*sides[i], *sides[j]):
                return False
    return True


def _meet(p, p2, q, q2):
    r, s = (p2[0] - p[0], p2[1] - p[1]), (q2[0] - q[0], q2[1] - q[1])
    d = (q[0] - p[0], q[1] - p[1])
    cross = r[0] * s[1] - r[1] * s[0]
    if cross != 0:
        t = Fraction(d[0] * s[1] - d[1] * s[0], cross)
        u = Fraction(d[0] * r[1] - d[1] * r[0], cross)
        return 0 <= t <= 1 and 0 <= u <= 1
    if d[0] * r[1] - d[1] * r[0] != 0:
        return False
    size = r[0] ** 2 + r[1] ** 2
    t0 = Fraction(d[0] * r[0] + d[1] * r[1], size)
    t1 = t0 + Fraction(s[0] * r[0] + s[1] * r[1], size)
    return max(min(t0, t1), 0) <= min(max(t0, t1), 1)


def test_the_edge_of_the_map_is_still_on_it():
    area = parse_area(geojson([[179, 89], [180, 89], [180, 90], [179, 90]]))

    assert area.holds((180.0, 90.0))
