"""What a lean does to a post: two ways of being held, two very different answers.

Held at the saddle: the limb keeps the head in place. A lean then pushes sideways on
both ends and bends the post only by its own weight; load bends it by the eccentricity
in the saddle. Free to sway: the post stands from its plate like a flagpole and the
load bends it by the whole offset of its head, made larger by its own sway.

References
----------
.. [1] Statics, derived by hand. Length factors: AISC 360 commentary, table C-A-7.1
   (fixed-free 2.1 from memory).
.. [2] Secant formula: Gere and Timoshenko, Mechanics of Materials, beam-columns.
.. [3] Plumb limits: AISC 303 7.13.1.1 (1/500); EN 1090-2 annex B (1/300); EN 1997-1
   annex H (1/500 acceptable, 1/150 likely ultimate), all as reproduced.
"""

from enum import StrEnum

import numpy as np

from monitor.errors import InvalidInput
from monitor.mechanics.guard import Array, Floats, not_negative, plain, positive, within

GRAVITY = 9.80665
AS_BUILT_PLUMB_MM_M = 2.0  # 1/500, AISC 303
STEEP_MM_M = 268.0  # 15 degrees; a raking strut is not a leaning post


class Restraint(StrEnum):
    """How the head of a post is held sideways."""

    HELD = "held at the saddle"
    FREE = "free to sway"


def restraint_of(recorded: Restraint | None) -> Restraint:
    """Return the restraint to use: free when the record does not say (safe side)."""
    return Restraint.FREE if recorded is None else recorded


def length_factor(restraint: Restraint) -> float:
    """Return K: 1.0 held at both ends, 2.1 standing from the plate."""
    return 1.0 if restraint is Restraint.HELD else 2.1


def total_tilt_mm_m(x_mm_m: Floats, y_mm_m: Floats) -> Floats:
    """Return the size of a tilt measured along two axes. [mm/m]"""
    return plain(np.hypot(x_mm_m, y_mm_m))


def tilt_deg(tilt_mm_m: Floats) -> Floats:
    """Return a tilt as an angle. [deg]"""
    return plain(np.degrees(np.arctan(np.asarray(tilt_mm_m) / 1000.0)))


def tilt_mm_m(tilt_deg: Floats) -> Floats:
    """Return an angle as a tilt. [mm/m]"""
    return plain(1000.0 * np.tan(np.radians(tilt_deg)))


def head_offset_mm(height_mm: Floats, tilt_mm_m: Floats) -> Floats:
    """Return how far the head stands out of plumb. [mm]"""
    return plain(positive("height", height_mm, "mm") * _tilt(tilt_mm_m) / 1000.0)


def end_thrust_n(load_n: Floats, tilt_mm_m: Floats) -> Floats:
    """Return the sideways push at saddle and plate, P tan(theta). [N]"""
    load = not_negative("load", load_n, "N")
    return plain(load * _tilt(tilt_mm_m) / 1000.0)


def own_weight_held_nmm(
    weight_kg_m: Floats, height_mm: Floats, tilt_mm_m: Floats
) -> Floats:
    """Return the bending of a leaning post by its own weight, w h^2 sin(t)/8. [N mm]"""
    return plain(_sideways_weight(weight_kg_m, height_mm, tilt_mm_m) / 8.0)


def own_weight_free_nmm(
    weight_kg_m: Floats, height_mm: Floats, tilt_mm_m: Floats
) -> Floats:
    """Return the same for a post standing from its plate, w h^2 sin(t)/2. [N mm]"""
    return plain(_sideways_weight(weight_kg_m, height_mm, tilt_mm_m) / 2.0)


def held_moment_nmm(load_n: Floats, eccentricity_mm: Floats) -> Floats:
    """Return the bending by the load when the head is held, P e. [N mm]"""
    load = not_negative("load", load_n, "N")
    return plain(load * not_negative("eccentricity", eccentricity_mm, "mm"))


def free_moment_nmm(
    load_n: Floats, offset_mm: Floats, eccentricity_mm: Floats
) -> Floats:
    """Return the bending at the plate when the head is free, P (offset + e). [N mm]

    First order; multiply by the amplifier of the method in use.
    """
    load = not_negative("load", load_n, "N")
    lever = not_negative("offset", offset_mm, "mm") + not_negative(
        "eccentricity", eccentricity_mm, "mm"
    )
    return plain(load * lever)


def secant_stress_mpa(
    mean_mpa: Floats, eccentricity_ratio: Floats, euler_mpa: Floats
) -> Floats:
    """Return the largest stress of an eccentric strut, secant formula. [MPa]

    Equal eccentricity at both ends.

    Parameters
    ----------
    mean_mpa : P/A [MPa]
    eccentricity_ratio : e c / r^2
    euler_mpa : pi^2 E / (K L / r)^2 [MPa]
    """
    mean = not_negative("mean stress", mean_mpa, "MPa")
    euler = positive("Euler stress", euler_mpa, "MPa")
    if np.any(mean >= euler):
        raise InvalidInput("The load is at or above the Euler load: it can not stand.")
    secant = 1.0 / np.cos(0.5 * np.pi * np.sqrt(mean / euler))
    return plain(mean * (1.0 + eccentricity_ratio * secant))


def _sideways_weight(
    weight_kg_m: Floats, height_mm: Floats, tilt_mm_m: Floats
) -> Array:
    line_n_mm = positive("weight", weight_kg_m, "kg/m") * GRAVITY / 1000.0
    slope = _tilt(tilt_mm_m) / 1000.0
    sine: Array = slope / np.sqrt(1.0 + slope**2)
    square: Array = positive("height", height_mm, "mm") ** 2
    return line_n_mm * square * sine


def _tilt(tilt_mm_m: Floats) -> Array:
    return within("tilt", tilt_mm_m, "mm/m", (0.0, STEEP_MM_M))
