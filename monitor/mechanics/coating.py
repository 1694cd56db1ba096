"""What paint and zinc give, and how rust on a coating is graded.

References
----------
.. [1] ISO 12944-1:2017, durability ranges; as reproduced in an encyclopaedia.
.. [2] ISO 4628-3:2016, degree of rusting; ASTM D610, rust grades; as reproduced.
.. [3] ISO 1461:2009, table 3, coatings not centrifuged; as reproduced three times.
"""

from enum import StrEnum
from types import MappingProxyType

import numpy as np

from monitor.mechanics.corrosion import Bound, Law, Metal, exponent, years_to_attack
from monitor.mechanics.guard import Floats, not_negative, plain, positive, within


class Durability(StrEnum):
    """Expected years to the first major repaint. Not a guarantee."""

    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"
    VERY_HIGH = "very high"


class ZincLife(StrEnum):
    """Which law gives the life of a zinc coating."""

    CONSTANT = "constant first-year rate"
    MEAN = "ISO 9224 mean exponent"
    UPPER = "ISO 9224 upper exponent"


_REPAINT_YEARS = MappingProxyType(
    {
        Durability.LOW: (0.0, 7.0),
        Durability.MEDIUM: (7.0, 15.0),
        Durability.HIGH: (15.0, 25.0),
        Durability.VERY_HIGH: (25.0, float("inf")),
    }
)

# ISO 4628-3: rusted area of the photographs Ri 0 to Ri 4 [%]; more than Ri 4 is Ri 5.
_RI_AREA_PCT = (0.0, 0.05, 0.5, 1.0, 8.0)

# ASTM D610: largest rusted area of grades 10 down to 1 [%]; more than 50 % is grade 0.
_D610_AREA_PCT = (0.01, 0.03, 0.1, 0.3, 1.0, 3.0, 10.0, 16.0, 33.0, 50.0)

# ISO 1461: thickness of steel above which the row holds [mm]; local and mean [um].
_ISO_1461 = ((6.0, 70.0, 85.0), (3.0, 55.0, 70.0), (1.5, 45.0, 55.0), (0.0, 35.0, 45.0))


def repaint_window_years(durability: Durability) -> tuple[float, float]:
    """Return between which ages the first major repaint is expected, ISO 12944-1. [y]

    The 1998 edition had shorter classes: 2-5, 5-15 and over 15 years.
    """
    return _REPAINT_YEARS[durability]


def rust_grade(rusted_pct: float) -> str:
    """Return the ISO 4628-3 grade of a measured rusted area [%].

    The grades are photographs, not band edges: an area between two of them gets the
    worse one. Store the measured area beside the grade.
    """
    area = float(within("rusted area", rusted_pct, "%", (0.0, 100.0)))
    return f"Ri{int(np.searchsorted(_RI_AREA_PCT, area, side='left'))}"


def rust_grade_d610(rusted_pct: float) -> int:
    """Return the ASTM D610 grade, 10 for none and 0 for more than half. [%]"""
    area = float(within("rusted area", rusted_pct, "%", (0.0, 100.0)))
    return 10 - int(np.searchsorted(_D610_AREA_PCT, area, side="left"))


def galvanising_minimum_um(steel_mm: float) -> tuple[float, float]:
    """Return the least local and mean zinc coating of ISO 1461. [um]

    Parameters
    ----------
    steel_mm : thickness of the steel that was dipped [mm]; 6 mm and 3 mm belong to
        the thinner row, 1.5 mm to the thicker
    """
    found = float(positive("steel thickness", steel_mm, "mm"))
    for above_mm, local_um, mean_um in _ISO_1461:
        if found > above_mm or found == above_mm == 1.5:
            return local_um, mean_um
    raise AssertionError(found)


def zinc_mass_g_m2(coating_um: Floats) -> Floats:
    """Return the mass of a zinc coating, 7.2 g/m2 per um (ISO 1461). [g/m2]"""
    return plain(7.2 * not_negative("zinc coating", coating_um, "um"))


def zinc_life_years(coating_um: Floats, rate_um: Floats, law: ZincLife) -> Floats:
    """Return the years until a zinc coating is gone. [y]

    Parameters
    ----------
    coating_um : coating now [um]
    rate_um : first-year rate of zinc at the site [um/y]
    law : a constant rate is what life charts use (ISO 14713-1) and is the shortest
    """
    coating = not_negative("zinc coating", coating_um, "um")
    rate = positive("zinc rate", rate_um, "um/y")
    if law is ZincLife.CONSTANT:
        return plain(coating / rate)
    bound = Bound.MEAN if law is ZincLife.MEAN else Bound.UPPER
    return years_to_attack(Law(rate_um, exponent(Metal.ZINC, bound)), coating_um)
