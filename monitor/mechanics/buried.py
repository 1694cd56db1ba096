"""How fast steel goes in the ground.

A base plate edge, the soil line, mulch against steel and bark against steel are worse
than free air: use these tables or one category up (common practice, no source).

References
----------
.. [1] EN 1993-5:2007, table 4-1, with the UK National Annex column of 125 y; as
   reproduced in the annex. The 5 to 100 y columns equal the EN table (from memory).
.. [2] AASHTO LRFD Bridge Design Specifications, 11.10.6.4.2a, galvanised strip in
   clean granular fill; as reproduced. Its steel rate is from memory.
"""

from enum import StrEnum
from types import MappingProxyType

import numpy as np

from monitor.mechanics.guard import Floats, not_negative, plain, within


class Ground(StrEnum):
    """What surrounds the steel, the rows of EN 1993-5 table 4-1."""

    NATURAL = "undisturbed natural soil"
    POLLUTED = "polluted natural or industrial ground"
    PEAT = "aggressive natural soil, swamp, marsh, peat"
    FILL = "non-compacted, non-aggressive fill"
    ASH_FILL = "non-compacted, aggressive fill, ash, slag"


_AGES = (0.0, 5.0, 25.0, 50.0, 75.0, 100.0, 125.0)
_LOSS_MM = MappingProxyType(
    {
        Ground.NATURAL: (0.0, 0.00, 0.30, 0.60, 0.90, 1.20, 1.50),
        Ground.POLLUTED: (0.0, 0.15, 0.75, 1.50, 2.25, 3.00, 3.75),
        Ground.PEAT: (0.0, 0.20, 1.00, 1.75, 2.50, 3.25, 4.00),
        Ground.FILL: (0.0, 0.18, 0.70, 1.20, 1.70, 2.20, 2.70),
        Ground.ASH_FILL: (0.0, 0.50, 2.00, 3.25, 4.50, 5.75, 7.00),
    }
)


def buried_loss_mm(ground: Ground, years: Floats) -> Floats:
    """Return the loss of thickness of one face in the ground. [mm]

    Straight lines between the ages of the table (from memory: 5 and 25 y were
    measured, the rest is extrapolated). Compacted fill loses less, about half (from
    memory), and is not offered.

    Parameters
    ----------
    ground : row of EN 1993-5 table 4-1
    years : age in the ground, 0 to 125 [y]
    """
    age = within("years in the ground", years, "y", (0.0, _AGES[-1]))
    return plain(np.interp(age, _AGES, _LOSS_MM[ground]))


def fill_zinc_loss_um(years: Floats) -> Floats:
    """Return the loss of zinc in clean granular fill, AASHTO. [um]

    15 um/y for two years, 4 um/y afterwards.
    """
    age = not_negative("years in the ground", years, "y")
    return plain(15.0 * np.minimum(age, 2.0) + 4.0 * np.maximum(age - 2.0, 0.0))


def fill_steel_loss_um(coating_um: Floats, years: Floats) -> Floats:
    """Return the loss of one steel face in clean granular fill, AASHTO. [um]

    12 um/y (from memory) once the zinc is gone.

    Parameters
    ----------
    coating_um : zinc as new [um]
    years : age in the ground [y]
    """
    coating = not_negative("zinc coating", coating_um, "um")
    age = not_negative("years in the ground", years, "y")
    gone = np.minimum(coating, 30.0) / 15.0 + np.maximum(coating - 30.0, 0.0) / 4.0
    return plain(12.0 * np.maximum(age - gone, 0.0))
