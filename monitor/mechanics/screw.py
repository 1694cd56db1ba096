"""Threads and the exposed screw of a jack.

A screw in compression has its root for a section, not its stress area. Trapezoidal and
Acme threads have other roots: enter the measured root diameter.

References
----------
.. [1] ISO 898-1 and ISO 724 (metric coarse and fine); ASME B1.1 (Unified); as
   reproduced. Rounded root of the Unified external thread from memory.
.. [2] FED-STD-H28/2B, stripping area of an external thread; as reproduced.
.. [3] EN 12811-1, base jacks: overlap of at least 25 % of the length or 150 mm,
   whichever is greater (from memory).
"""

from dataclasses import dataclass

import numpy as np

from monitor.mechanics.columns_aisc import OMEGA, euler_n, nominal_axial_n
from monitor.mechanics.guard import Array, Floats, not_negative, plain, positive
from monitor.mechanics.sections import RoundTube, Section, round_section

SWAY_FACTOR = 2.0  # theory of a mast; a screw that carries a saddle on its tip
LEAST_OVERLAP_MM = 150.0
LEAST_OVERLAP_SHARE = 0.25


@dataclass(frozen=True, slots=True)
class StripThread:
    """What decides whether an external thread strips [mm].

    Parameters
    ----------
    pitch_mm : pitch
    engaged_mm : length in engagement
    pitch_diameter_mm : least pitch diameter of the screw
    nut_minor_mm : largest minor diameter of the nut
    """

    pitch_mm: Floats
    engaged_mm: Floats
    pitch_diameter_mm: Floats
    nut_minor_mm: Floats


def metric_stress_area_mm2(diameter_mm: Floats, pitch_mm: Floats) -> Floats:
    """Return the tensile stress area of a metric thread, ISO 898-1. [mm2]"""
    core = _core(diameter_mm, pitch_mm, 0.938194)
    return plain(np.pi / 4.0 * core**2)


def unified_stress_area_mm2(diameter_mm: Floats, pitch_mm: Floats) -> Floats:
    """Return the tensile stress area of a Unified thread, ASME B1.1. [mm2]"""
    core = _core(diameter_mm, pitch_mm, 0.9743)
    return plain(0.7854 * core**2)


def root_diameter_mm(diameter_mm: Floats, pitch_mm: Floats) -> Floats:
    """Return the rounded root diameter, d - 1.226869 P, both systems. [mm]"""
    return plain(_core(diameter_mm, pitch_mm, 1.226869))


def strip_area_mm2(thread: StripThread) -> Floats:
    """Return the area that shears when an external thread strips, H28. [mm2]"""
    pitch = positive("pitch", thread.pitch_mm, "mm")
    nut = positive("minor diameter of the nut", thread.nut_minor_mm, "mm")
    gap = positive("pitch diameter", thread.pitch_diameter_mm, "mm") - nut
    engaged = not_negative("engaged length", thread.engaged_mm, "mm")
    return plain(np.pi * engaged / pitch * nut * (pitch / 2.0 + 0.57735 * gap))


def screw_euler_n(root_mm: Floats, exposed_mm: Floats) -> Floats:
    """Return the elastic buckling load of an exposed screw, as a mast (K = 2). [N]"""
    exposed = positive("exposed screw", exposed_mm, "mm")
    return euler_n(_root(root_mm).inertia_mm4, plain(SWAY_FACTOR * exposed))


def screw_allowable_n(root_mm: Floats, exposed_mm: Floats, fy_mpa: Floats) -> Floats:
    """Return what an exposed screw may carry of service load, AISC E3, ASD. [N]

    Side thrust and eccentricity are not in it.
    """
    root = _root(root_mm)
    exposed = positive("exposed screw", exposed_mm, "mm")
    slenderness = plain(SWAY_FACTOR * exposed / np.asarray(root.radius_mm))
    nominal = nominal_axial_n(root.area_mm2, slenderness, fy_mpa)
    return plain(np.asarray(nominal) / OMEGA)


def lift_mm(turns: Floats, pitch_mm: Floats) -> Floats:
    """Return how far a single-start screw moves in so many turns. [mm]"""
    return plain(np.asarray(turns) * positive("pitch", pitch_mm, "mm"))


def overlap_left_mm(length_mm: Floats, exposed_mm: Floats) -> Floats:
    """Return how much screw is still inside; below zero it is out. [mm]"""
    length = positive("screw length", length_mm, "mm")
    return plain(length - not_negative("exposed screw", exposed_mm, "mm"))


def least_overlap_mm(length_mm: Floats) -> Floats:
    """Return the overlap to keep, as for scaffold jacks (EN 12811-1). [mm]"""
    length = positive("screw length", length_mm, "mm")
    return plain(np.maximum(LEAST_OVERLAP_SHARE * length, LEAST_OVERLAP_MM))


def _core(diameter_mm: Floats, pitch_mm: Floats, share: float) -> Array:
    diameter = positive("diameter", diameter_mm, "mm")
    core = diameter - share * positive("pitch", pitch_mm, "mm")
    return positive("core of the thread", core, "mm")


def _root(root_mm: Floats) -> Section:
    root = positive("root diameter", root_mm, "mm")
    return round_section(RoundTube(plain(root), plain(root / 2.0)))
