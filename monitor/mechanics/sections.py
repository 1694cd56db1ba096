"""Hollow sections: area, stiffness and strength, as new and after loss of metal.

A nominal wall is what is ordered, a design wall what the code lets one count on, a
measured wall what is there. Measured walls are used as they are: the design factor
never comes on top.

References
----------
.. [1] Area and inertia of rounded rectangles and tubes: derived by hand from the
   rectangle less four corner spandrels.
.. [2] AISC 360-16/-22 B4.2 (design wall 0.93 of nominal for electric-resistance-welded
   tube); AISC Manual table 1-12 (outer corner 2 t, inner t reproduce it).
.. [3] EN 10210-2:2006 (corners 1.5 T and 1.0 T); EN 10219-2:2006 (from memory).
"""

from dataclasses import dataclass, replace

import numpy as np

from monitor.errors import InvalidInput
from monitor.mechanics.guard import Array, Floats, not_negative, plain, positive

STEEL_KG_M3 = 7850.0
# Area under a rounded corner that is missing: (1 - pi/4) R^2; its centroid from the
# edge and its second moment about the edge, in powers of R.
_SPANDREL = 1.0 - np.pi / 4.0
_SPANDREL_CENTROID = (10.0 - 3.0 * np.pi) / (12.0 - 3.0 * np.pi)
_SPANDREL_EDGE = 1.0 - 5.0 * np.pi / 16.0


@dataclass(frozen=True, slots=True, eq=False)
class BoxTube:
    """A square or rectangular hollow section [mm]."""

    width_mm: Floats
    depth_mm: Floats
    wall_mm: Floats
    outer_radius_mm: Floats
    inner_radius_mm: Floats


@dataclass(frozen=True, slots=True, eq=False)
class RoundTube:
    """A round hollow section; a wall of half the diameter is a solid bar [mm]."""

    diameter_mm: Floats
    wall_mm: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Section:
    """What a column check needs of a section, about its weaker axis.

    Parameters
    ----------
    area_mm2 : metal [mm2]
    inertia_mm4 : smaller second moment [mm4]
    radius_mm : smaller radius of gyration [mm]
    elastic_mm3, plastic_mm3 : moduli about the same axis [mm3]
    slenderness : flat part of the longest wall over wall (box), D/t (round)
    """

    area_mm2: Floats
    inertia_mm4: Floats
    radius_mm: Floats
    elastic_mm3: Floats
    plastic_mm3: Floats
    slenderness: Floats


def design_wall_mm(nominal_mm: Floats) -> Floats:
    """Return the wall AISC 360 B4.2 counts on for welded tube. [mm]"""
    return plain(0.93 * positive("nominal wall", nominal_mm, "mm"))


def aisc_box(width_mm: Floats, depth_mm: Floats, wall_mm: Floats) -> BoxTube:
    """Return a box tube with the corners of the AISC tables, from its design wall."""
    wall = positive("wall", wall_mm, "mm")
    return BoxTube(width_mm, depth_mm, wall_mm, plain(2.0 * wall), plain(wall))


def hot_finished_box(width_mm: Floats, depth_mm: Floats, wall_mm: Floats) -> BoxTube:
    """Return a box tube with the corners of EN 10210-2."""
    wall = positive("wall", wall_mm, "mm")
    return BoxTube(width_mm, depth_mm, wall_mm, plain(1.5 * wall), plain(wall))


def cold_formed_box(width_mm: Floats, depth_mm: Floats, wall_mm: Floats) -> BoxTube:
    """Return a box tube with the corners of EN 10219-2 (from memory)."""
    wall = positive("wall", wall_mm, "mm")
    outer = np.where(wall <= 6.0, 2.0, np.where(wall <= 10.0, 2.5, 3.0)) * wall
    return BoxTube(width_mm, depth_mm, wall_mm, plain(outer), plain(outer - wall))


def box_section(box: BoxTube) -> Section:
    """Return the section of a box tube. Derived: outer less inner rounded rectangle."""
    width, depth, wall = _box_arrays(box)
    outer_r = not_negative("outer radius", box.outer_radius_mm, "mm")
    inner_r = not_negative("inner radius", box.inner_radius_mm, "mm")
    inside = (width - 2.0 * wall, depth - 2.0 * wall, inner_r)
    area = _solid_area(width, depth, outer_r) - _solid_area(*inside)
    across = (width, depth), (depth, width)
    inertias = [
        _solid_inertia(b, h, outer_r)
        - _solid_inertia(b - 2.0 * wall, h - 2.0 * wall, inner_r)
        for b, h in across
    ]
    plastics = [
        _solid_plastic(b, h, outer_r)
        - _solid_plastic(b - 2.0 * wall, h - 2.0 * wall, inner_r)
        for b, h in across
    ]
    inertia = np.minimum(*inertias)
    return Section(
        plain(area),
        plain(inertia),
        plain(np.sqrt(inertia / area)),
        plain(2.0 * inertia / np.minimum(width, depth)),
        plain(np.minimum(*plastics)),
        plain((np.maximum(width, depth) - 3.0 * wall) / wall),
    )


def round_section(tube: RoundTube) -> Section:
    """Return the section of a round tube or bar. Textbook formulas."""
    outer = positive("diameter", tube.diameter_mm, "mm")
    wall = positive("wall", tube.wall_mm, "mm")
    if np.any(2.0 * wall > outer * (1.0 + 1e-12)):
        raise InvalidInput("The wall is thicker than half the diameter.", field="wall")
    inner = np.maximum(outer - 2.0 * wall, 0.0)
    outer_2, inner_2 = outer**2, inner**2
    inertia = np.pi / 64.0 * (outer_2**2 - inner_2**2)
    return Section(
        plain(np.pi / 4.0 * (outer_2 - inner_2)),
        plain(inertia),
        plain(np.sqrt(outer_2 + inner_2) / 4.0),
        plain(2.0 * inertia / outer),
        plain((outer_2 * outer - inner_2 * inner) / 6.0),
        plain(outer / wall),
    )


def box_less_outside(box: BoxTube, loss_mm: Floats) -> BoxTube:
    """Return a box tube after an even loss from outside; the inside stays. [mm]"""
    loss = not_negative("loss", loss_mm, "mm")
    radius = np.maximum(np.asarray(box.outer_radius_mm) - loss, 0.0)
    return BoxTube(
        plain(box.width_mm - 2.0 * loss),
        plain(box.depth_mm - 2.0 * loss),
        plain(box.wall_mm - loss),
        plain(radius),
        box.inner_radius_mm,
    )


def box_less_inside(box: BoxTube, loss_mm: Floats) -> BoxTube:
    """Return a box tube after an even loss from inside; the outside stays. [mm]"""
    loss = not_negative("loss", loss_mm, "mm")
    return replace(
        box,
        wall_mm=plain(box.wall_mm - loss),
        inner_radius_mm=plain(box.inner_radius_mm + loss),
    )


def round_less_outside(tube: RoundTube, loss_mm: Floats) -> RoundTube:
    """Return a round tube after an even loss from outside. [mm]"""
    loss = not_negative("loss", loss_mm, "mm")
    return RoundTube(plain(tube.diameter_mm - 2.0 * loss), plain(tube.wall_mm - loss))


def round_less_inside(tube: RoundTube, loss_mm: Floats) -> RoundTube:
    """Return a round tube after an even loss from inside. [mm]"""
    loss = not_negative("loss", loss_mm, "mm")
    return replace(tube, wall_mm=plain(tube.wall_mm - loss))


def weight_kg_m(area_mm2: Floats) -> Floats:
    """Return the mass of a metre of steel, 7850 kg/m3. [kg/m]

    Catalogues weigh the nominal wall, not the design wall.
    """
    return plain(positive("area", area_mm2, "mm2") * 1e-6 * STEEL_KG_M3)


def _box_arrays(box: BoxTube) -> tuple[Array, Array, Array]:
    width = positive("width", box.width_mm, "mm")
    depth = positive("depth", box.depth_mm, "mm")
    wall = positive("wall", box.wall_mm, "mm")
    if np.any(2.0 * wall >= np.minimum(width, depth)):
        raise InvalidInput("The wall is thicker than half the width.", field="wall")
    return width, depth, wall


def _solid_area(width: Array, depth: Array, radius: Array) -> Array:
    return width * depth - 4.0 * _SPANDREL * radius**2


def _solid_inertia(width: Array, depth: Array, radius: Array) -> Array:
    """Return the second moment of a rounded rectangle, bending along its depth."""
    # Squares of squares: numpy's own powers of 3 and 4 take ten times as long.
    square = radius**2
    area = _SPANDREL * square
    offset = _SPANDREL_CENTROID * radius
    own = _SPANDREL_EDGE * square**2 - area * offset**2
    corners = 4.0 * (own + area * (depth / 2.0 - offset) ** 2)
    return width * depth * depth**2 / 12.0 - corners


def _solid_plastic(width: Array, depth: Array, radius: Array) -> Array:
    """Return the plastic modulus of a rounded rectangle, bending along its depth."""
    lever = depth / 2.0 - _SPANDREL_CENTROID * radius
    return width * depth**2 / 4.0 - 4.0 * _SPANDREL * radius**2 * lever
