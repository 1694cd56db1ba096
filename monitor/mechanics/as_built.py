"""What is recorded of a support on the day it is set, as the review reads it."""

from dataclasses import dataclass
from enum import StrEnum

from monitor.mechanics.footing import Soil
from monitor.mechanics.lean import Restraint


class Part(StrEnum):
    """A part the support has; only these are looked at."""

    POST = "post"
    PLATE = "plate"
    SCREW = "screw"
    SADDLE = "saddle"
    PIN = "pin"


@dataclass(frozen=True, slots=True)
class AsBuilt:
    """What was recorded of a support as built; None where it was not.

    Parameters
    ----------
    parts : what the support has
    length_mm, radius_mm : plate to saddle, and least radius of gyration [mm]
    restraint : how the head is held
    tilt_mm_m : out of plumb on the day it was set [mm/m]
    coating : its name, empty for bare steel
    zinc_um, steel_mm : measured zinc, and the steel it lies on
    plate_below_mulch_mm : depth of the plate below the foot of the mulch [mm]
    soil, materials : what it lies on, and every material under it
    screw_length_mm, screw_exposed_mm : of the jack [mm]
    saddle_clearance_mm, radial_mm_year : room for growth, and growth [mm, mm/y]
    preload : as noted (turns, lift or force)
    pin_mm, hole_mm, nuts_per_end : of a through-pin
    """

    parts: frozenset[Part]
    length_mm: float | None = None
    radius_mm: float | None = None
    restraint: Restraint | None = None
    tilt_mm_m: float | None = None
    coating: str | None = None
    zinc_um: float | None = None
    steel_mm: float | None = None
    plate_below_mulch_mm: float | None = None
    soil: Soil | None = None
    materials: tuple[str, ...] = ()
    screw_length_mm: float | None = None
    screw_exposed_mm: float | None = None
    saddle_clearance_mm: float | None = None
    radial_mm_year: float | None = None
    preload: str | None = None
    pin_mm: float | None = None
    hole_mm: float | None = None
    nuts_per_end: int | None = None
