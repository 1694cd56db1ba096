"""How a reading is taken, and how far two careful repeats of it differ.

All figures are common practice in the field, one standard deviation, without a
published source for tree supports, unless a source stands beside them.
"""

import math
from types import MappingProxyType

from monitor.domain.quantities import QUANTITIES, Noise

METHODS = MappingProxyType(
    {
        "level": "optical level and staff",
        "digital level": "digital level and invar staff",
        "water level": "water tube level",
        "inclinometer": "digital inclinometer, one face",
        "inclinometer reversed": "digital inclinometer, reversed and averaged",
        "plumb bob": "plumb bob over a measured height",
        "frame level": "machinist's frame level",
        "total station": "total station on a prism mark",
        "calliper": "calliper",
        "tape": "steel tape or laser distance",
        "feeler": "feeler or taper gauge",
        "ultrasonic": "ultrasonic thickness gauge",
        "coating gauge": "magnetic coating gauge",
        "photo": "scaled photograph",
        "tension meter": "three-point tension meter",
        "sag": "sag at mid-span",
        "vibration": "frequency of vibration",
        "eye": "judged by eye",
    }
)

_BARK = Noise(0.7, 0.7, 0.1)

_NOISE: dict[tuple[str, str], Noise] = {
    ("level", "settlement"): Noise(0.7, 0.3, 0.5),
    ("digital level", "settlement"): Noise(0.2, 0.3, 0.01),
    ("water level", "settlement"): Noise(1.5, 0.5, 1.0),
    ("total station", "settlement"): Noise(1.5, 0.5, 1.0),
    ("inclinometer", "tilt_x"): Noise(1.75, 0.5, 0.9),
    ("inclinometer", "tilt_y"): Noise(1.75, 0.5, 0.9),
    ("inclinometer reversed", "tilt_x"): Noise(0.9, 0.5, 0.9),
    ("inclinometer reversed", "tilt_y"): Noise(0.9, 0.5, 0.9),
    ("plumb bob", "tilt_x"): Noise(0.7, 0.3, 0.5),
    ("plumb bob", "tilt_y"): Noise(0.7, 0.3, 0.5),
    ("frame level", "tilt_x"): Noise(0.1, 0.3, 0.05),
    ("frame level", "tilt_y"): Noise(0.1, 0.3, 0.05),
    ("calliper", "wound_width"): _BARK,
    ("calliper", "wound_height"): _BARK,
    ("calliper", "projection"): _BARK,
    ("tape", "wound_width"): Noise(1.0, 1.0, 1.0),
    ("tape", "wound_height"): Noise(1.0, 1.0, 1.0),
    ("photo", "wound_width"): Noise(1.5, 0.5, 0.5),
    ("photo", "wound_height"): Noise(1.5, 0.5, 0.5),
    ("calliper", "crack_width"): Noise(0.07, 0.05, 0.02),
    ("calliper", "strand_diameter"): Noise(0.03, 0.05, 0.01),
    ("calliper", "wall"): Noise(0.05, 0.1, 0.02),
    ("ultrasonic", "wall"): Noise(0.1, 0.1, 0.1),
    ("coating gauge", "coating"): Noise(5.0, 5.0, 1.0),
    ("tension meter", "tension"): Noise(0.05, 0.03, 0.01, relative=True),
    ("sag", "tension"): Noise(0.15, 0.05, 0.01, relative=True),
    ("vibration", "tension"): Noise(0.075, 0.03, 0.01, relative=True),
    ("eye", "rusted_area"): Noise(0.3, 0.2, 0.1),
}


WHOLE = frozenset({"photo"})
"""Methods that work out with every reading all that may be off, placing included."""


def noise_of(quantity: str, method: str) -> Noise:
    """Declared noise of a reading of `quantity` taken by `method`.

    An unknown or unstated method falls back to the quantity's usual noise.
    """
    return _NOISE.get((method, quantity), QUANTITIES[quantity].noise)


def noise_with(quantity: str, method: str, value: float, sd: float | None) -> Noise:
    """Noise of one reading, with the standard deviation that was measured with it.

    What a method works out in whole takes the place of the usual figures. A spread,
    as of a phone held to a post for some seconds, comes on top of what the instrument
    itself is known for: many samples of one instrument share its error.

    Parameters
    ----------
    value : in the unit of the quantity, as `sd`
    sd : one standard deviation, None if none was measured
    """
    usual = noise_of(quantity, method).at(value)
    if sd is None:
        return usual
    if method in WHOLE:
        return Noise(sd, 0.0, usual.resolution)
    return Noise(math.hypot(usual.repeatability, sd), usual.placement, usual.resolution)
