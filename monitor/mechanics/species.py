"""Green wood by species: weight, strength and stiffness of clear small specimens.

Whole limbs with knots, reaction wood or decay vary by a quarter or more either way
(from memory); decay voids the numbers altogether.

References
----------
.. [1] Wood Handbook, FPL-GTR-282 (2021), table 5-3a (green) and table 4-1 (green
   moisture, heart and sap), equation 5-3; as reproduced. Where a row says "from
   memory" the marked part was not seen.
"""

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from monitor.errors import InsufficientData
from monitor.mechanics.guard import Floats, known, plain, positive, within


@dataclass(frozen=True, slots=True)
class Wood:
    """Green wood of one species; None where no value was found.

    Parameters
    ----------
    gravity : oven-dry mass over green volume
    rupture_mpa, modulus_gpa : bending strength [MPa] and stiffness [GPa]
    along_mpa, across_mpa : crushing along and across the grain [MPa]
    heart_pct, sap_pct : green moisture of heartwood and sapwood [%]
    source : where the row comes from, in words
    """

    gravity: float
    rupture_mpa: float
    modulus_gpa: float
    along_mpa: float | None
    across_mpa: float | None
    heart_pct: float | None
    sap_pct: float | None
    source: str


_SEEN = "as reproduced"
_WET = "as reproduced, moisture from memory"

WOODS = MappingProxyType(
    {
        "white ash": Wood(0.55, 66, 9.9, 27.5, 4.6, 46, 44, _SEEN),
        "sugar maple": Wood(0.56, 65, 10.7, 27.7, 4.4, 65, 72, _WET),
        "northern red oak": Wood(0.56, 57, 9.3, 23.7, 4.2, 80, 69, _WET),
        "white oak": Wood(0.60, 57, 8.6, 24.5, 4.6, 64, 78, _WET),
        "black cherry": Wood(0.47, 55, 9.0, 24.4, 2.5, 58, None, _SEEN),
        "yellow-poplar": Wood(0.40, 41, 8.4, 18.3, 1.9, 83, 106, _WET),
        "American beech": Wood(
            0.56, 59, 9.5, None, None, 55, 72, "strength from memory"
        ),
        "Douglas-fir, coast": Wood(0.45, 53, 10.8, 26.1, 2.6, 37, 115, _SEEN),
        "eastern hemlock": Wood(0.38, 44, 7.4, 21.2, 2.5, 97, 119, _WET),
        "ponderosa pine": Wood(0.38, 35, 6.9, 16.9, 1.9, 40, 148, _WET),
        "loblolly pine": Wood(0.47, 50, 9.7, 24.2, 2.7, None, None, _SEEN),
        "longleaf pine": Wood(0.54, 59, 11.0, 29.8, 3.3, None, None, _SEEN),
        "redwood, old growth": Wood(0.38, 52, 8.1, 29.0, None, None, None, _SEEN),
    }
)


def wood(species: str) -> Wood:
    """Return the row of a species; an unknown one is refused with what is known."""
    return known("species", species, WOODS)


def green_density_kg_m3(gravity: Floats, moisture_pct: Floats) -> Floats:
    """Return the density of green wood, 1000 G (1 + M/100). [kg/m3]"""
    g = within("basic gravity", gravity, "", (0.1, 1.2))
    moisture = within("moisture", moisture_pct, "%", (0.0, 400.0))
    return plain(1000.0 * g * (1.0 + moisture / 100.0))


def species_density_kg_m3(species: str) -> float:
    """Return the green density of a species at mean heart and sap moisture. [kg/m3]"""
    row = wood(species)
    if row.heart_pct is None or row.sap_pct is None:
        raise InsufficientData(
            f"No green moisture is known for {species}. Needed: a measured green "
            "density, or the moisture of a core."
        )
    moisture = (row.heart_pct + row.sap_pct) / 2.0
    return float(green_density_kg_m3(row.gravity, moisture))


def at_moisture(
    dry_12: Floats, green: Floats, moisture_pct: Floats, turning_pct: Floats = 25.0
) -> Floats:
    """Return a property at another moisture, Wood Handbook equation 5-3.

    Parameters
    ----------
    dry_12, green : the property at 12 % and green, in any one unit
    moisture_pct : wanted moisture, at or below the turning point [%]
    turning_pct : moisture where drying begins to tell, 24-25 for most species [%]
    """
    dry, wet = positive("dry value", dry_12, ""), positive("green value", green, "")
    turning = within("turning point", turning_pct, "%", (20.0, 32.0))
    moisture = within("moisture", moisture_pct, "%", (0.0, float(turning.min())))
    return plain(dry * (dry / wet) ** ((12.0 - moisture) / (turning - 12.0)))


def oven_dry_gravity(gravity: Floats, shrinkage: Floats) -> Floats:
    """Return gravity on oven-dry volume, as timber codes want it, G / (1 - S).

    Parameters
    ----------
    gravity : oven-dry mass over green volume
    shrinkage : of volume from green to oven dry, about 0.14 to 0.17 in oaks (memory)
    """
    shrunk = within("shrinkage", shrinkage, "", (0.0, 0.3))
    return plain(positive("basic gravity", gravity, "") / (1.0 - np.asarray(shrunk)))
