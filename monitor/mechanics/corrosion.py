"""How fast bare steel and zinc go in open air.

First-year rates by category (ISO 9223), the long law (ISO 9224), and zinc followed by
the steel beneath it. These are mean losses over a surface; pits are kept apart in
`monitor.mechanics.wall`.

References
----------
.. [1] ISO 9223:2012, table 2 (bands), equations 1 and 2 (dose-response); as
   reproduced in design manuals and two public codes. Copper and aluminium bands are
   left out: from memory only.
.. [2] ISO 9224:2012, equations for t <= 20 y and t > 20 y, tables 2 and 3; as
   reproduced in public tables. The standard's table prints the plain power
   law out to 100 y; the straight tail is the larger loss and is what we use.
"""

from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

import numpy as np

from monitor.errors import InvalidInput
from monitor.mechanics.guard import Array, Floats, not_negative, plain, positive, within

TAIL_FROM_YEARS = 20.0
LAW_FORM = "ISO 9224: power law to 20 years, straight tail beyond"


class Category(StrEnum):
    """Corrosivity of the air at a site, ISO 9223."""

    C1 = "C1"
    C2 = "C2"
    C3 = "C3"
    C4 = "C4"
    C5 = "C5"
    CX = "CX"


class Metal(StrEnum):
    """A metal with a published long law."""

    STEEL = "steel"
    ZINC = "zinc"
    COPPER = "copper"
    ALUMINIUM = "aluminium"


class Bound(StrEnum):
    """Which published exponent: the mean of test sites or the upper one."""

    MEAN = "mean"
    UPPER = "upper"


@dataclass(frozen=True, slots=True)
class Climate:
    """Air at a site, yearly means.

    Parameters
    ----------
    temperature_c : air temperature [deg C]
    humidity_pct : relative humidity [%]
    so2_mg_m2_day : deposition of sulphur dioxide [mg/(m2 d)]
    chloride_mg_m2_day : deposition of chloride [mg/(m2 d)]
    """

    temperature_c: Floats
    humidity_pct: Floats
    so2_mg_m2_day: Floats
    chloride_mg_m2_day: Floats


@dataclass(frozen=True, slots=True)
class Law:
    """First-year rate [um/y] and exponent of ISO 9224."""

    rate_um: Floats
    exponent: Floats


@dataclass(frozen=True, slots=True)
class Galvanised:
    """Zinc over steel: the coating as new [um] and the law of each metal."""

    coating_um: Floats
    zinc: Law
    steel: Law


_UPPER_UM = MappingProxyType(
    {
        Metal.STEEL: (1.3, 25.0, 50.0, 80.0, 200.0, 700.0),
        Metal.ZINC: (0.1, 0.7, 2.1, 4.2, 8.4, 25.0),
    }
)

# ISO 9224 table 2: mean (B1) and upper (B2) exponents, as reproduced.
_EXPONENTS = MappingProxyType(
    {
        Metal.STEEL: (0.523, 0.575),
        Metal.ZINC: (0.813, 0.873),
        Metal.COPPER: (0.667, 0.726),
        Metal.ALUMINIUM: (0.728, 0.807),
    }
)


def exponent(metal: Metal, bound: Bound) -> float:
    """Return the exponent of the long law, ISO 9224 table 2."""
    mean, upper = _EXPONENTS[metal]
    return mean if bound is Bound.MEAN else upper


def first_year_band_um(metal: Metal, category: Category) -> tuple[float, float]:
    """Return the first-year loss of a category, lower and upper end. [um/y]

    ISO 9223 table 2, micrometre bands of steel and zinc. C1 starts at zero.
    """
    if metal not in _UPPER_UM:
        raise InvalidInput(f"No checked ISO 9223 band for {metal}; steel or zinc only.")
    uppers = (0.0, *_UPPER_UM[metal])
    place = list(Category).index(category)
    return uppers[place], uppers[place + 1]


def category_of(metal: Metal, rate_um: float) -> Category:
    """Return the category of one measured first-year rate [um/y], upper end inclusive.

    Classify on micrometres only: the bands in g/m2 are rounded differently.
    """
    found = float(not_negative("first-year rate", rate_um, "um/y"))
    for category in Category:
        if found <= first_year_band_um(metal, category)[1]:
            return category
    raise InvalidInput(f"{found:g} um/y is beyond category CX; check the unit.")


def steel_rate_um(climate: Climate) -> Floats:
    """Return the first-year loss of carbon steel, ISO 9223 equation 1. [um/y]

    An estimated rate is uncertain by about -33 % to +50 % (from memory).
    """
    t, rh, so2, salt = _checked(climate)
    warmth = np.where(t <= 10.0, 0.150, -0.054) * (t - 10.0)
    sulphur = 1.77 * so2**0.52 * np.exp(0.020 * rh + warmth)
    return plain(sulphur + 0.102 * salt**0.62 * np.exp(0.033 * rh + 0.040 * t))


def zinc_rate_um(climate: Climate) -> Floats:
    """Return the first-year loss of zinc, ISO 9223 equation 2. [um/y]"""
    t, rh, so2, salt = _checked(climate)
    warmth = np.where(t <= 10.0, 0.038, -0.071) * (t - 10.0)
    sulphur = 0.0129 * so2**0.44 * np.exp(0.046 * rh + warmth)
    return plain(sulphur + 0.0175 * salt**0.57 * np.exp(0.008 * rh + 0.085 * t))


def multiplier(years: Floats, exponent: Floats) -> Floats:
    """Return total loss over first-year loss: t^b to 20 y, straight beyond (ISO 9224).

    The slope of the tail is the slope of the power law at 20 y.
    """
    t = not_negative("years", years, "y")
    b = within("exponent", exponent, "", (0.1, 1.0))
    head = np.minimum(t, TAIL_FROM_YEARS) ** b
    tail = b * TAIL_FROM_YEARS ** (b - 1.0) * np.maximum(t - TAIL_FROM_YEARS, 0.0)
    return plain(head + tail)


def power_multiplier(years: Floats, exponent: Floats) -> Floats:
    """Return the plain power law t^b at any age, as ISO 9224 table 3 prints it."""
    t = not_negative("years", years, "y")
    return plain(t ** within("exponent", exponent, "", (0.1, 1.0)))


def years_for(multiplier: Floats, exponent: Floats) -> Floats:
    """Return the age at which the multiplier is reached (inverse of `multiplier`). [y]

    An infinite multiplier gives an infinite age.
    """
    m = np.asarray(multiplier, dtype=np.float64)
    b = within("exponent", exponent, "", (0.1, 1.0))
    turn = TAIL_FROM_YEARS**b
    early = np.minimum(m, turn) ** (1.0 / b)
    late = np.maximum(m - turn, 0.0) / (b * TAIL_FROM_YEARS ** (b - 1.0))
    return plain(early + late)


def attack_um(law: Law, years: Floats) -> Floats:
    """Return the mean loss of metal after so many years of bare exposure. [um]"""
    rate = not_negative("first-year rate", law.rate_um, "um/y")
    return plain(rate * multiplier(years, law.exponent))


def years_to_attack(law: Law, depth_um: Floats) -> Floats:
    """Return the years until the mean loss reaches a depth. [y]"""
    rate = positive("first-year rate", law.rate_um, "um/y")
    depth = not_negative("depth", depth_um, "um")
    return years_for(depth / rate, law.exponent)


def zinc_left_um(part: Galvanised, years: Floats) -> Floats:
    """Return what remains of the zinc. [um]"""
    coating = not_negative("zinc coating", part.coating_um, "um")
    return plain(np.maximum(coating - attack_um(part.zinc, years), 0.0))


def steel_loss_um(part: Galvanised, years: Floats) -> Floats:
    """Return the loss of the steel, whose clock starts when the zinc is gone. [um]

    Derived from ISO 9224 for two metals in turn; edge and crevice effects are outside.
    """
    gone = years_to_attack(part.zinc, part.coating_um)
    bare_years = np.maximum(not_negative("years", years, "y") - gone, 0.0)
    return attack_um(part.steel, bare_years)


def _checked(climate: Climate) -> tuple[Array, Array, Array, Array]:
    """Return the climate as arrays inside the range of the published equations."""
    return (
        within("temperature", climate.temperature_c, "deg C", (-17.1, 28.7)),
        within("humidity", climate.humidity_pct, "%", (34.0, 93.0)),
        within("SO2 deposition", climate.so2_mg_m2_day, "mg/(m2 d)", (0.7, 150.4)),
        within("chloride", climate.chloride_mg_m2_day, "mg/(m2 d)", (0.4, 760.5)),
    )
