"""Conversion between units of one kind.

The factors come from the pint library, asked for exact fractions and only by our own
names for units: its reader of text never sees what a person typed, because it takes
“4 1/2 in” for 2 in and “0,82 in” for 0 in without a word.
Slopes meet degrees through the tangent, not the small-angle rule: 1° is 17.455 mm/m.
"""

import math
from fractions import Fraction
from functools import cache

import pint

from monitor.errors import UnclearNumber
from monitor.units.vocabulary import known_unit, unit_named


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """Return the value in another unit of the same kind.

    Examples
    --------
    >>> convert(1.0, "in", "mm")
    25.4
    >>> round(convert(1.0, "deg", "mm/m"), 3)
    17.455
    """
    source, target = unit_named(from_unit), unit_named(to_unit)
    _require_a_shared_kind(source, target)
    if source == target:
        return value
    if source == "deg":
        return convert(_slope_mm_m(value), "mm/m", target)
    if target == "deg":
        return math.degrees(math.atan(convert(value, source, "mm/m") / 1000.0))
    factor, offset = _line(source, target)
    return value * factor.numerator / factor.denominator + float(offset)


def to_canonical(value: Fraction, source: str, target: str) -> float:
    """Return a typed value in a canonical unit, rounded once at the very end."""
    if source == target:
        return float(value)
    if source == "deg":
        return _slope_mm_m(float(value))
    factor, offset = _line(source, target)
    return float(value * factor + offset)


def step_to_canonical(
    value: Fraction, step: Fraction, source: str, target: str
) -> float:
    """Return how much one step of the last digit typed is worth in a canonical unit.

    A degree is worth more mm/m the steeper the slope, by 1 + tan².
    """
    if source == target:
        return float(step)
    if source == "deg":
        rise = math.tan(math.radians(value))
        return 1000.0 * math.radians(step) * (1.0 + rise * rise)
    factor, _ = _line(source, target)
    return float(step * factor)


def _slope_mm_m(angle_deg: float) -> float:
    if abs(angle_deg) >= 90.0:
        raise UnclearNumber(
            f"A slope of {angle_deg:g}° has no mm/m: write the angle from level or "
            "plumb, less than 90°."
        )
    return 1000.0 * math.tan(math.radians(angle_deg))


def _require_a_shared_kind(source: str, target: str) -> None:
    measured, wanted = known_unit(source).kinds, known_unit(target).kinds
    if not set(measured) & set(wanted):
        raise UnclearNumber(
            f"“{source}” measures {measured[0]}, “{target}” measures {wanted[0]}: one "
            "can not be turned into the other."
        )


@cache
def _line(source: str, target: str) -> tuple[Fraction, Fraction]:
    """Return the exact factor and offset from one unit to another."""
    names = known_unit(source).factor_name, known_unit(target).factor_name
    offset, one = (
        Fraction(_registry().Quantity(Fraction(n), names[0]).to(names[1]).magnitude)
        for n in (0, 1)
    )
    return one - offset, offset


@cache
def _registry() -> "pint.UnitRegistry[Fraction]":
    return pint.UnitRegistry(non_int_type=Fraction)
