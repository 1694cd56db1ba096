"""The margin of through-pins over the years, allowable strength in green wood.

References
----------
.. [1] NDS yield modes in wet wood and AISC 360 J3 shear, both allowable strength (see
   `pins`).
"""

from dataclasses import dataclass
from functools import partial

import numpy as np

from monitor.mechanics.guard import Array
from monitor.mechanics.margin import (
    MOST_USE,
    Course,
    Margin,
    Verdicts,
    flags,
    margin_of,
    outside,
)
from monitor.mechanics.pins import (
    METHOD,
    PinJoint,
    bearing_across_mpa,
    bearing_along_mpa,
    hankinson_mpa,
    shear_allowable_n,
    wet_lateral_n,
)
from monitor.mechanics.tie_course import (
    Bits,
    ends_of,
    kept,
    load_is_missing,
    loss_is_missing,
    ways_of,
)

PARTS = ("wood and bending of the pin", "shear of the pin")
SIDE_BEARING_MPA = 600.0  # steel sides, about 87 ksi as NDS takes it (from memory)
REFUSALS = (
    "Pin diameter is missing or impossible; needed: 6.35 to 60 mm.",
    "Length in sound wood or thickness of the sides is missing; needed in mm.",
    "Gravity of the wood is missing or impossible; needed: species, 0.30 to 0.90 on "
    "oven-dry volume.",
    "Angle of load to grain is missing; needed: 0 to 90 degrees.",
    "Steel of the pin is missing; needed: tensile and bending yield strength, in MPa.",
    "Load on the pin is missing; needed in newtons.",
    "Loss of metal is missing; needed: category of the air or a measured diameter.",
)
ASSUMED = (
    "Wood is green, and sound over the length given.",
    "Both sides of the limb share the load evenly.",
    f"The sides are steel and bear {SIDE_BEARING_MPA:g} MPa.",
)
_THINNEST_MM = 6.35  # below it the formula for dowels was not checked


@dataclass(frozen=True, slots=True, eq=False)
class Pins:
    """Facts of many through-pins held on both sides, one row a pin; NaN not known.

    Parameters
    ----------
    diameter_mm : as new, at the root of a thread that bears [mm]
    sound_mm : wood the pin bears on, decayed and open lengths deducted [mm]
    side_mm : thickness of each steel side [mm]
    gravity : oven-dry mass over oven-dry volume
    angle_deg : between load and grain [deg]
    tensile_mpa, bending_mpa : tensile and bending yield strength of the pin [MPa]
    """

    diameter_mm: Array
    sound_mm: Array
    side_mm: Array
    gravity: Array
    angle_deg: Array
    tensile_mpa: Array
    bending_mpa: Array


def pin_margin(pins: Pins, course: Course) -> Margin:
    """Return the use of the allowable lateral strength of many pins over the years.

    The course gives load and metal lost from the surface; lean plays no part.
    """
    refused = _refused(pins, course)
    sound, ways = _harmless(pins, refused), ways_of(course, refused)
    each = _uses(sound, ways.loss_mm, ways.load_n)
    ends = ends_of(ways, partial(_uses, sound))
    verdicts = Verdicts(
        method=METHOD, assumed=ASSUMED, parts=PARTS, refused=refused, refusals=REFUSALS
    )
    return margin_of(course.years, each, ends, verdicts)


def _uses(pins: Pins, loss_mm: Array, load_n: Array) -> Array:
    bare = pins.diameter_mm[:, np.newaxis] - 2.0 * loss_mm
    diameter = np.maximum(bare, _THINNEST_MM)
    gravity, angle = pins.gravity[:, np.newaxis], pins.angle_deg[:, np.newaxis]
    wood = hankinson_mpa(
        bearing_along_mpa(gravity), bearing_across_mpa(gravity, diameter), angle
    )
    joint = PinJoint(
        diameter,
        pins.sound_mm[:, np.newaxis],
        pins.side_mm[:, np.newaxis],
        wood,
        SIDE_BEARING_MPA,
        pins.bending_mpa[:, np.newaxis],
        angle,
    )
    shear = shear_allowable_n(diameter, pins.tensile_mpa[:, np.newaxis])
    each: Array = np.array((load_n / wet_lateral_n(joint), load_n / shear))
    return np.where(bare < _THINNEST_MM, MOST_USE, np.minimum(each, MOST_USE))


def _refused(pins: Pins, course: Course) -> Bits:
    return flags(
        (
            outside(pins.diameter_mm, _THINNEST_MM, 60.0),
            outside(pins.sound_mm, 10.0, 5000.0) | outside(pins.side_mm, 1.0, 100.0),
            outside(pins.gravity, 0.30, 0.90),
            outside(pins.angle_deg, 0.0, 90.0),
            outside(pins.tensile_mpa, 200.0, 1500.0)
            | outside(pins.bending_mpa, 150.0, 1500.0),
            load_is_missing(course),
            loss_is_missing(course),
        )
    )


def _harmless(pins: Pins, refused: Bits) -> Pins:
    """Return the pins with stand-ins in refused rows."""
    return Pins(
        kept(pins.diameter_mm, refused, 20.0),
        kept(pins.sound_mm, refused, 100.0),
        kept(pins.side_mm, refused, 10.0),
        kept(pins.gravity, refused, 0.5),
        kept(pins.angle_deg, refused, 0.0),
        kept(pins.tensile_mpa, refused, 400.0),
        kept(pins.bending_mpa, refused, 250.0),
    )
