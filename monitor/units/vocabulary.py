"""The units, how people spell them, and what each measures.

To add a unit, add one row to `UNITS`; to keep values in it, also a line in `CANONICAL`.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from monitor.errors import UnclearNumber

CANONICAL: Mapping[str, str] = MappingProxyType(
    {
        "mm": "short lengths: gaps, settlement, wall thickness, diameters, wounds",
        "m": "long lengths: heights, spans, distances",
        "um": "coating thickness and metal loss, printed as µm",
        "%": "shares of a whole: rusted area, section loss",
        "mm/m": "tilts and slopes; degrees enter through the tangent",
        "kN": "forces: tension, load",
        "deg": "bearings, and angles that are not slopes",
        "kPa": "ground pressure",
        "MPa": "stress and strength of materials",
        "kg": "masses",
        "years": "ages and lives",
        "days": "intervals",
        "turns": "turns of a screw",
        "count": "whole numbers of things, without a unit",
        "m/s": "wind and other speeds",
        "degC": "temperatures",
    }
)


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit that may be typed.

    Parameters
    ----------
    name : our name for it
    kinds : what it measures, the first being its usual use
    factor_name : how the library that supplies the factors calls it
    spellings : other ways to write it, separated by "|"; case does not matter
    """

    name: str
    kinds: tuple[str, ...]
    factor_name: str
    spellings: str


UNITS: tuple[Unit, ...] = (
    Unit("mm", ("length",), "mm", "millimetre|millimetres|millimeter|millimeters|mms"),
    Unit("cm", ("length",), "cm", "centimetre|centimetres|centimeter|centimeters|cms"),
    Unit("m", ("length",), "m", "metre|metres|meter|meters"),
    Unit("km", ("length",), "km", "kilometre|kilometres|kilometer|kilometers"),
    Unit(
        "um", ("length",), "um", "µm|micron|microns|micrometre|micrometres|micrometer"
    ),
    Unit("in", ("length",), "inch", '"|inch|inches|ins'),
    Unit("ft", ("length",), "foot", "'|foot|feet"),
    Unit("mils", ("length",), "thou", "thou"),
    Unit("%", ("share", "slope"), "percent", "percent|per cent|pct"),
    Unit("mm/m", ("slope",), "mm/m", "millimetres per metre|millimeters per meter|‰"),
    Unit("cm/m", ("slope",), "cm/m", "centimetres per metre|centimeters per meter"),
    Unit("in/ft", ("slope",), "inch/foot", '"/ft|"/\'|inch/foot|inches/foot'),
    Unit("deg", ("angle", "slope"), "degree", "°|degree|degrees|degs"),
    Unit("N", ("force",), "newton", "newton|newtons"),
    Unit("daN", ("force",), "dekanewton", "decanewton|decanewtons"),
    Unit("kN", ("force",), "kN", "kilonewton|kilonewtons"),
    Unit("kgf", ("force",), "kilogram_force", "kilogram-force|kp"),
    Unit("lbf", ("force",), "pound_force", "pounds-force|pound-force"),
    Unit("kip", ("force",), "kip", "kips|klbf"),
    Unit("Pa", ("pressure",), "pascal", "pascal|pascals"),
    Unit("kPa", ("pressure",), "kPa", "kilopascal|kilopascals|kN/m2|kN/m²"),
    Unit("MPa", ("pressure",), "MPa", "megapascal|megapascals|N/mm2|N/mm²"),
    Unit("bar", ("pressure",), "bar", "bars"),
    Unit("psi", ("pressure",), "psi", "lbf/in2|lbf/in²"),
    Unit("ksi", ("pressure",), "ksi", "kip/in2|kip/in²"),
    Unit("g", ("mass",), "gram", "gram|grams"),
    Unit("kg", ("mass",), "kilogram", "kilogram|kilograms|kgs|kilo|kilos"),
    Unit("t", ("mass",), "metric_ton", "tonne|tonnes"),
    Unit("lb", ("mass",), "pound", "lbs|pound|pounds"),
    Unit("years", ("time",), "year", "year|yr|yrs|y"),
    Unit("months", ("time",), "month", "month"),
    Unit("weeks", ("time",), "week", "week"),
    Unit("days", ("time",), "day", "day|d"),
    Unit("turns", ("turns",), "turn", "turn|rev|revs"),
    Unit("count", ("count",), "", "pieces|pcs|no"),
    Unit("m/s", ("speed",), "m/s", "metres per second|meters per second"),
    Unit("km/h", ("speed",), "km/hour", "kmh|kph|kmph"),
    Unit("mph", ("speed",), "mile/hour", "miles per hour"),
    Unit("knots", ("speed",), "knot", "knot|kt|kts"),
    Unit("ft/s", ("speed",), "foot/second", "fps|feet per second"),
    Unit("degC", ("temperature",), "degC", "°C|deg C|C|celsius"),
    Unit("degF", ("temperature",), "degF", "°F|deg F|F|fahrenheit"),
)

# A bare "5/8" in a column of these is a fraction; elsewhere perhaps a date or a slope.
WRITTEN_IN_FRACTIONS = frozenset({"in", "ft", "in/ft", "turns", "years"})

# "1,250" in these is one thousand two hundred and fifty. Inches are not among them: a
# calliper reads 1.250 in, and "1,250 in" in a country of decimal commas.
WRITTEN_WITH_COMMA_THOUSANDS = frozenset({"ft", "lb", "lbf", "psi"})

# What keyboards, telephones and word processors make of the same few marks.
MARKS = str.maketrans(
    {"′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"', "μ": "µ", "º": "°"}
)


@lru_cache(maxsize=4096)
def unit_named(text: str) -> str:
    """Return our name for a unit as people spell it.

    Examples
    --------
    >>> unit_named("Millimetres"), unit_named("in."), unit_named("°")
    ('mm', 'in', 'deg')
    """
    spelling = _plain(text)
    readings = _CASE_DECIDES.get(text.strip()) or _TWO_READINGS.get(spelling)
    if readings:
        raise UnclearNumber(
            f"The unit {quoted(text)} may mean {readings}; write which."
        )
    if spelling not in _BY_SPELLING:
        raise UnclearNumber(
            f"The unit {quoted(text)} is not known; write one such as mm, in, ft, m, "
            "µm, mm/m, °, %, kN or lbf."
        )
    return _BY_SPELLING[spelling].name


def known_unit(name: str) -> Unit:
    """Return the unit of that (our) name."""
    return _BY_NAME[name]


def quoted(text: object) -> str:
    """Return what was found, short and free of characters that could mislead."""
    typed = text.strip() if isinstance(text, str) else type(text).__name__
    plain = " ".join(typed[:60].split())
    shown = "".join(c if c.isprintable() else "?" for c in plain)
    return f"“{shown if len(shown) <= 40 else shown[:39] + '…'}”"


def _plain(text: str) -> str:
    """Return a spelling without its accidents: case, spaces, stops, styles of mark."""
    spelling = " ".join(text.translate(MARKS).replace("''", '"').casefold().split())
    return re.sub(r"\.? ?(?:/|\bper\b) ?", "/", spelling).rstrip(".")


# Refused, since a silent guess could be wrong by a factor from 1.1 to 1,000 million.
_CASE_DECIDES = {
    "kn": "kN (force) or knots (speed)",
    "mPa": "MPa or 0.001 Pa",
}
_TWO_READINGS = {
    "mil": "mm, or mils (0.001 in)",
    "ton": "a long, short or metric ton (t), or a force (kN, lbf)",
    "tons": "long, short or metric tons (t), or a force (kN, lbf)",
}

_BY_NAME = {row.name: row for row in UNITS}
_BY_SPELLING = {
    _plain(spelling): row
    for row in UNITS
    for spelling in (row.name, *row.spellings.split("|"))
}
