"""Sections against printed tables and against a mesh of finite elements."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sectionproperties.analysis import Section as MeshSection
from sectionproperties.pre import library as meshes

from monitor.errors import InvalidInput
from monitor.mechanics.sections import (
    BoxTube,
    RoundTube,
    aisc_box,
    box_less_inside,
    box_less_outside,
    box_section,
    cold_formed_box,
    design_wall_mm,
    hot_finished_box,
    round_less_inside,
    round_less_outside,
    round_section,
    weight_kg_m,
)

INCH = 25.4
LB_FT = 1.488164  # kg/m


def in_inches(section):
    return (
        section.area_mm2 / INCH**2,
        section.inertia_mm4 / INCH**4,
        section.radius_mm / INCH,
        section.elastic_mm3 / INCH**3,
        section.plastic_mm3 / INCH**3,
    )


@pytest.mark.parametrize(
    ("side", "wall", "printed"),
    [
        # AISC Manual table 1-12: A, I, r, S, Z
        (4.0, 0.233, (3.37, 7.80, 1.52, 3.90, 4.69)),
        (4.0, 0.174, (2.58, 6.21, 1.55, 3.10, 3.67)),
        (3.0, 0.233, (2.44, 3.02, 1.11, 2.01, 2.48)),
    ],
)
def test_square_tubes_are_those_of_the_aisc_table(side, wall, printed):
    found = in_inches(box_section(aisc_box(side * INCH, side * INCH, wall * INCH)))

    assert found == pytest.approx(printed, rel=0.004)


@pytest.mark.parametrize(
    ("side", "expected"),
    # derived by hand, unrounded
    [(4.0, (3.371, 7.801, 1.521)), (3.0, (2.439, 3.018, 1.112))],
)
def test_square_tubes_unrounded(side, expected):
    found = in_inches(box_section(aisc_box(side * INCH, side * INCH, 0.233 * INCH)))

    assert found[:3] == pytest.approx(expected, rel=0.002)


@pytest.mark.parametrize(
    ("outer", "wall", "printed"),
    [
        # AISC Manual tables 1-13 and 1-14: A, I, r, S, Z; pipes allow 1 %
        (4.0, 0.233, (2.76, 4.91, 1.33, 2.45, 3.31)),
        (2.875, 0.189, (1.61, 1.45, 0.952, 1.01, 1.37)),
        (3.5, 0.201, (2.07, 2.85, 1.17, 1.63, 2.19)),
        (4.5, 0.221, (2.96, 6.82, 1.51, 3.03, 4.05)),
    ],
)
def test_round_tubes_are_those_of_the_aisc_table(outer, wall, printed):
    found = in_inches(round_section(RoundTube(outer * INCH, wall * INCH)))

    assert found == pytest.approx(printed, rel=0.0125)


def test_a_pipe_at_its_nominal_wall_weighs_what_the_table_prints():
    # AISC Manual table 1-14: 5.80 lb/ft; the rest derived by hand
    pipe = round_section(RoundTube(2.875 * INCH, 0.203 * INCH))

    assert in_inches(pipe)[:3] == pytest.approx((1.704, 1.530, 0.947), rel=0.002)
    assert weight_kg_m(pipe.area_mm2) / LB_FT == pytest.approx(5.80, rel=0.002)


@pytest.mark.parametrize(
    ("side", "wall", "area_cm2", "inertia_cm4", "weight"),
    # EN 10210-2 as reproduced
    [(80, 6.3, 18.1, 162, 14.2), (90, 4.0, 13.6, 166, 10.7)],
)
def test_hot_finished_tubes_are_those_of_en_10210(
    side, wall, area_cm2, inertia_cm4, weight
):
    tube = box_section(hot_finished_box(side, side, wall))

    assert tube.area_mm2 / 100 == pytest.approx(area_cm2, rel=0.004)
    assert tube.inertia_mm4 / 1e4 == pytest.approx(inertia_cm4, rel=0.004)
    assert weight_kg_m(tube.area_mm2) == pytest.approx(weight, rel=0.004)


def test_a_cold_formed_tube_has_the_fuller_corner_radius():
    # EN 10219-2 formulas from memory; value derived by hand: 22.2 cm2, 314 cm4
    tube = box_section(cold_formed_box(100.0, 100.0, 6.3))

    assert tube.area_mm2 / 100 == pytest.approx(22.2, rel=0.003)
    assert tube.inertia_mm4 / 1e4 == pytest.approx(314, rel=0.003)


def test_the_design_wall_of_a_quarter_inch_is_that_of_the_table():
    # AISC Manual table 1-12: 0.233 in
    assert design_wall_mm(0.25 * INCH) / INCH == pytest.approx(0.233, abs=0.0006)


@pytest.mark.parametrize(
    ("loss", "area", "inertia", "radius"),
    [
        (0.010, 0.9550, 0.9500, 0.9974),  # derived by hand
        (0.020, 0.9102, 0.9008, 0.9948),
        (0.040, 0.8211, 0.8042, 0.9896),
        (0.100, 0.5584, 0.5300, 0.9742),
    ],
)
def test_loss_outside_takes_area_and_hardly_the_radius(loss, area, inertia, radius):
    new = aisc_box(4 * INCH, 4 * INCH, 0.233 * INCH)

    before = box_section(new)
    after = box_section(box_less_outside(new, loss * INCH))

    assert after.area_mm2 / before.area_mm2 == pytest.approx(area, abs=5e-4)
    assert after.inertia_mm4 / before.inertia_mm4 == pytest.approx(inertia, abs=5e-4)
    assert after.radius_mm / before.radius_mm == pytest.approx(radius, abs=5e-4)


@pytest.mark.parametrize(("loss", "area"), [(0.020, 0.8947), (0.050, 0.7396)])
def test_loss_outside_of_a_pipe(loss, area):
    new = RoundTube(2.875 * INCH, 0.203 * INCH)  # ratios derived by hand

    after = round_section(round_less_outside(new, loss * INCH))

    assert after.area_mm2 / round_section(new).area_mm2 == pytest.approx(area, abs=5e-4)


@pytest.mark.parametrize(("wall", "lost_pct"), [(4.5, 9.6), (3.75, 24.1), (2.5, 48.9)])
def test_loss_inside_of_a_tube(wall, lost_pct):
    new = RoundTube(114.3, 5.0)  # by hand: area 1716.9 mm2

    after = round_section(round_less_inside(new, 5.0 - wall))

    area = round_section(new).area_mm2
    assert area == pytest.approx(1716.9, abs=0.05)
    assert 100 * (1 - after.area_mm2 / area) == pytest.approx(lost_pct, abs=0.05)


@pytest.mark.parametrize(
    ("width", "depth", "wall"), [(101.6, 101.6, 5.92), (60.0, 120.0, 4.0)]
)
def test_a_mesh_agrees_with_the_closed_form_of_a_box(width, depth, wall):
    mesh = meshes.rectangular_hollow_section(
        d=depth, b=width, t=wall, r_out=2 * wall, n_r=24
    )
    mesh.create_mesh(mesh_sizes=[30.0])
    oracle = MeshSection(mesh)
    oracle.calculate_geometric_properties()
    oracle.calculate_plastic_properties()

    found = box_section(aisc_box(width, depth, wall))

    assert found.area_mm2 == pytest.approx(oracle.get_area(), rel=1e-3)
    assert found.inertia_mm4 == pytest.approx(min(oracle.get_ic()[:2]), rel=1e-3)
    assert found.plastic_mm3 == pytest.approx(min(oracle.get_s()[:2]), rel=1e-3)


def test_a_mesh_agrees_with_the_closed_form_of_a_pipe():
    mesh = meshes.circular_hollow_section(d=114.3, t=5.0, n=160)
    mesh.create_mesh(mesh_sizes=[30.0])
    oracle = MeshSection(mesh)
    oracle.calculate_geometric_properties()

    found = round_section(RoundTube(114.3, 5.0))

    assert found.area_mm2 == pytest.approx(oracle.get_area(), rel=1e-3)
    assert found.inertia_mm4 == pytest.approx(oracle.get_ic()[0], rel=1e-3)


def test_sharp_corners_give_the_formula_of_the_schoolbook():
    # textbook: A = 4 t (B - t), I = (B^4 - b^4) / 12
    tube = box_section(BoxTube(100.0, 100.0, 5.0, 0.0, 0.0))

    assert tube.area_mm2 == pytest.approx(1900.0)
    assert tube.inertia_mm4 == pytest.approx((100.0**4 - 90.0**4) / 12)


@given(st.floats(40.0, 200.0), st.floats(3.0, 8.0), st.floats(0.0, 2.5))
def test_less_wall_is_never_a_stronger_section(side, wall, loss):
    new = aisc_box(side, side, wall)

    before = box_section(new)

    for after in (box_less_outside(new, loss), box_less_inside(new, loss)):
        thinner = box_section(after)
        assert thinner.area_mm2 <= before.area_mm2
        assert thinner.inertia_mm4 <= before.inertia_mm4
        assert thinner.plastic_mm3 <= before.plastic_mm3


def test_many_tubes_at_once_are_the_tubes_one_by_one():
    sides = np.array([80.0, 100.0, 120.0])

    together = box_section(aisc_box(sides, sides, 5.0))

    single = [box_section(aisc_box(float(b), float(b), 5.0)) for b in sides]
    assert list(together.inertia_mm4) == [s.inertia_mm4 for s in single]


@pytest.mark.parametrize("wall", [0.0, -2.0, 51.0])
def test_an_impossible_wall_is_refused(wall):
    with pytest.raises(InvalidInput, match="wall"):
        box_section(BoxTube(100.0, 100.0, wall, 0.0, 0.0))


def test_a_wall_eaten_through_is_refused():
    with pytest.raises(InvalidInput, match="wall"):
        round_section(round_less_outside(RoundTube(114.3, 5.0), 5.0))


def test_trade_fact_a_post_of_175_inches_weighs_well_over_200_pounds():
    # common practice, no source; plates of 10 and 12 in and a 20 in screw of
    # 1 1/2 in are sizes of this test only
    pound = 0.45359237
    tube = box_section(aisc_box(4 * INCH, 4 * INCH, 0.25 * INCH))
    post = weight_kg_m(tube.area_mm2) * 175 * INCH / 1000
    plates = 7850e-9 * (10**2 + 12**2) * INCH**2 * INCH
    screw = weight_kg_m(np.pi / 4 * (1.5 * INCH) ** 2) * 20 * INCH / 1000

    assert post / pound > 170
    assert (post + plates + screw) / pound > 200
