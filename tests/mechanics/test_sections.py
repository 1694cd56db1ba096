"""Sections against a mesh of finite elements; values stand in `checks/sections.py`."""

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
    round_less_outside,
    round_section,
)


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
