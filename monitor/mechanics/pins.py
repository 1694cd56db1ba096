"""Pins and rods through green wood: bearing, bending, shear, pull.

All strengths are allowable ones for service loads; no factors of another method.

References
----------
.. [1] NDS (National Design Specification for Wood Construction) table 12.3.3 dowel
   bearing, Hankinson equation, as reproduced; yield modes of 12.3.1, steps of 50 psi
   and wet factor 0.7 from memory.
.. [2] AISC 360 J3 and D2, shear and tension of threaded parts (from memory).
.. [3] Hole stresses: Gere and Timoshenko, Mechanics of Materials.
"""

from dataclasses import dataclass

import numpy as np

from monitor.errors import InvalidInput
from monitor.mechanics.columns_aisc import OMEGA
from monitor.mechanics.guard import Array, Floats, not_negative, plain, positive, within

METHOD = "NDS yield modes in wet wood, AISC 360 J3 shear, allowable strength (ASD)"
MPA_PER_PSI = 0.006894757
INCH_MM = 25.4
WET_FACTOR = 0.7
OMEGA_THREAD = 2.0
_GRAVITIES = (0.30, 0.90)


@dataclass(frozen=True, slots=True, eq=False)
class PinJoint:
    """A pin through a limb, held on both sides (double shear).

    Parameters
    ----------
    diameter_mm : root diameter where threads bear [mm]
    main_mm : sound wood the pin bears on; decayed or open lengths deducted [mm]
    side_mm : thickness of each side member [mm]
    main_mpa, side_mpa : dowel bearing strength of wood and side [MPa]
    bending_mpa : bending yield strength of the pin [MPa]
    angle_deg : between load and grain, 0 along, 90 across [deg]
    """

    diameter_mm: Floats
    main_mm: Floats
    side_mm: Floats
    main_mpa: Floats
    side_mpa: Floats
    bending_mpa: Floats
    angle_deg: Floats


@dataclass(frozen=True, slots=True, eq=False)
class YieldModes:
    """Lateral strength in each way of yielding, dry wood. [N]"""

    main_crushes_n: Floats
    side_crushes_n: Floats
    pin_bends_in_side_n: Floats
    pin_bends_twice_n: Floats


def bearing_along_mpa(gravity: Floats) -> Floats:
    """Return dowel bearing along the grain, 11 200 G psi, for 1/4 in and more. [MPa]

    Parameters
    ----------
    gravity : oven-dry mass over oven-dry volume; not the green-volume gravity
    """
    return plain(11_200.0 * _gravity(gravity) * MPA_PER_PSI)


def bearing_across_mpa(gravity: Floats, diameter_mm: Floats) -> Floats:
    """Return dowel bearing across the grain, 6100 G^1.45 / sqrt(D) psi. [MPa]"""
    inches = _dowel(diameter_mm) / INCH_MM
    return plain(6_100.0 * _gravity(gravity) ** 1.45 / np.sqrt(inches) * MPA_PER_PSI)


def hankinson_mpa(along_mpa: Floats, across_mpa: Floats, angle_deg: Floats) -> Floats:
    """Return the bearing strength at an angle to the grain. [MPa]"""
    along = positive("along the grain", along_mpa, "MPa")
    across = positive("across the grain", across_mpa, "MPa")
    angle = np.radians(within("angle", angle_deg, "deg", (0.0, 90.0)))
    mixed = along * np.sin(angle) ** 2 + across * np.cos(angle) ** 2
    return plain(along * across / mixed)


def mean_bearing_mpa(load_n: Floats, diameter_mm: Floats, sound_mm: Floats) -> Floats:
    """Return the average pressure of a pin on wood, V / (D t). [MPa]

    A slender pin presses harder at its ends.
    """
    area = positive("pin", diameter_mm, "mm") * positive("sound wood", sound_mm, "mm")
    return plain(not_negative("load", load_n, "N") / area)


def yield_modes_n(joint: PinJoint) -> YieldModes:
    """Return the four yield modes of double shear, NDS 12.3.1. [N]"""
    d, fm = _dowel(joint.diameter_mm), positive("main bearing", joint.main_mpa, "MPa")
    fs = positive("side bearing", joint.side_mpa, "MPa")
    fy = positive("bending yield", joint.bending_mpa, "MPa")
    lm, ls = (
        positive("main", joint.main_mm, "mm"),
        positive("side", joint.side_mm, "mm"),
    )
    slant = 1.0 + 0.25 * within("angle", joint.angle_deg, "deg", (0.0, 90.0)) / 90.0
    ratio = fm / fs
    bend = 2.0 * fy * (2.0 + ratio) * d**2 / (3.0 * fm * ls**2)
    k3 = -1.0 + np.sqrt(2.0 * (1.0 + ratio) / ratio + bend)
    twice = np.sqrt(2.0 * fm * fy / (3.0 * (1.0 + ratio)))
    return YieldModes(
        plain(d * lm * fm / (4.0 * slant)),
        plain(2.0 * d * ls * fs / (4.0 * slant)),
        plain(2.0 * k3 * d * ls * fm / ((2.0 + ratio) * 3.2 * slant)),
        plain(2.0 * d**2 / (3.2 * slant) * twice),
    )


def wet_lateral_n(joint: PinJoint) -> Floats:
    """Return the smallest yield mode in green wood, the wet factor applied. [N]"""
    modes = yield_modes_n(joint)
    least = np.minimum.reduce(
        np.broadcast_arrays(
            modes.main_crushes_n,
            modes.side_crushes_n,
            modes.pin_bends_in_side_n,
            modes.pin_bends_twice_n,
        )
    )
    return plain(WET_FACTOR * least)


def double_shear_mpa(load_n: Floats, diameter_mm: Floats) -> Floats:
    """Return the shear stress of a pin cut on two planes, V / (2 A). [MPa]"""
    return plain(not_negative("load", load_n, "N") / (2.0 * _area(diameter_mm)))


def shear_allowable_n(diameter_mm: Floats, tensile_mpa: Floats) -> Floats:
    """Return the allowable double shear, threads cut, 0.45 Fu 2 A / 2.0. [N]"""
    fu = positive("tensile strength", tensile_mpa, "MPa")
    return plain(0.45 * fu * 2.0 * _area(diameter_mm) / OMEGA_THREAD)


def pin_moment_nmm(load_n: Floats, length_mm: Floats) -> Floats:
    """Return the bending of a pin pressed evenly both ways, V L / 8. [N mm]"""
    length = positive("length", length_mm, "mm")
    return plain(not_negative("load", load_n, "N") * length / 8.0)


def bending_mpa(moment_nmm: Floats, diameter_mm: Floats) -> Floats:
    """Return the bending stress of a round pin, 32 M / (pi d^3). [MPa]"""
    moment = not_negative("moment", moment_nmm, "N mm")
    return plain(32.0 * moment / (np.pi * positive("pin", diameter_mm, "mm") ** 3))


def rod_rupture_n(diameter_mm: Floats, tensile_mpa: Floats) -> Floats:
    """Return the nominal pull of a threaded rod, 0.75 Fu Ab, AISC J3. [N]"""
    fu = positive("tensile strength", tensile_mpa, "MPa")
    return plain(0.75 * fu * _area(diameter_mm))


def rod_allowable_n(
    diameter_mm: Floats, tensile_mpa: Floats, yield_mpa: Floats
) -> Floats:
    """Return the allowable pull, the lesser of rupture / 2.0 and yield / 1.67. [N]"""
    gross = positive("yield strength", yield_mpa, "MPa") * _area(diameter_mm) / OMEGA
    rupture = np.asarray(rod_rupture_n(diameter_mm, tensile_mpa)) / OMEGA_THREAD
    return plain(np.minimum(gross, rupture))


def _gravity(gravity: Floats) -> Array:
    return within("gravity", gravity, "", _GRAVITIES)


def _dowel(diameter_mm: Floats) -> Array:
    found = positive("pin diameter", diameter_mm, "mm")
    if np.any(found < INCH_MM / 4.0):
        raise InvalidInput(
            f"A dowel of {found.min():g} mm is below 6.35 mm, where another formula "
            "holds that was not checked.",
            field="pin diameter",
        )
    return found


def _area(diameter_mm: Floats) -> Array:
    return np.pi / 4.0 * positive("diameter", diameter_mm, "mm") ** 2
