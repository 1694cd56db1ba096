"""Numbers for people: a thin space before the unit and a real minus sign."""

import math
from dataclasses import dataclass

from monitor.errors import UnclearNumber
from monitor.units.factors import convert
from monitor.units.vocabulary import unit_named

THIN_SPACE = "\u2009"
MINUS = "\u2212"


@dataclass(frozen=True, slots=True)
class Style:
    """How a canonical unit is printed: in which unit, to how many decimals."""

    unit: str
    digits: int


METRIC = {
    "mm": Style("mm", 1),
    "m": Style("m", 2),
    "um": Style("um", 0),
    "%": Style("%", 1),
    "mm/m": Style("mm/m", 1),
    "kN": Style("kN", 2),
    "deg": Style("deg", 1),
    "kPa": Style("kPa", 0),
    "MPa": Style("MPa", 1),
    "kg": Style("kg", 1),
    "years": Style("years", 1),
    "days": Style("days", 0),
    "turns": Style("turns", 2),
    "count": Style("count", 0),
    "m/s": Style("m/s", 1),
    "degC": Style("degC", 1),
}
US = METRIC | {
    "mm": Style("in", 2),
    "m": Style("ft", 1),  # feet and inches; the digits are those of the inches
    "um": Style("mils", 1),
    "mm/m": Style("in/ft", 3),
    "kN": Style("lbf", 0),
    "kPa": Style("psi", 1),
    "MPa": Style("psi", 0),
    "kg": Style("lb", 1),
    "m/s": Style("mph", 1),
    "degC": Style("degF", 0),
}
SYSTEMS = {"metric": METRIC, "us": US}


def show(
    value: float, unit: str, *, digits: int | None = None, system: str = "metric"
) -> str:
    """Return a value with its unit, as people read it.

    Parameters
    ----------
    value : the number [unit]
    unit : a canonical unit, or any unit to be printed as it is
    digits : decimals; those usual for the unit if not given
    system : "metric", or "us" for inches, feet with inches, pounds-force

    Examples
    --------
    >>> show(-14.24, "mm"), show(14.24, "mm", system="us")
    ('−14.2\u2009mm', '0.56\u2009in')
    """
    if system not in SYSTEMS:
        raise UnclearNumber(f"No unit system “{system}”; choose “metric” or “us”.")
    if not math.isfinite(value):
        raise UnclearNumber(f"There is no number in {unit} to show; say why instead.")
    name = unit_named(unit)
    style = SYSTEMS[system].get(name, Style(name, 2))
    places = style.digits if digits is None else digits
    shown = convert(value, name, style.unit)
    if (name, style.unit) == ("m", "ft"):
        return _feet_and_inches(shown, places)
    number = _number(shown, places)
    return number + _suffix(number, style.unit)


def unit_sign(unit: str) -> str:
    """A canonical unit as it is printed alone: µm for um, °C for degC.

    Examples
    --------
    >>> unit_sign("um")
    'µm'
    """
    return _suffix("2", unit).strip(f" {THIN_SPACE}")


def _number(value: float, places: int) -> str:
    text = f"{abs(value):.{places}f}"
    is_negative = value < 0 and any(c in "123456789" for c in text)
    return f"{MINUS}{text}" if is_negative else text


def _suffix(number: str, name: str) -> str:
    if number.lstrip(MINUS) == "1" and name in _WORDS:
        name = name.removesuffix("s")
    return _SYMBOLS.get(name, f"{THIN_SPACE}{name}")


def _feet_and_inches(feet: float, places: int) -> str:
    """Return feet and inches, rounded first so that no 12.0 in is printed."""
    inches = round(12.0 * abs(feet), places)
    whole, rest = divmod(inches, 12.0)
    sign = MINUS if feet < 0 and inches > 0 else ""
    return f"{sign}{whole:.0f}{THIN_SPACE}ft {rest:.{places}f}{THIN_SPACE}in"


_WORDS = frozenset({"years", "months", "weeks", "days", "turns", "knots"})
_SYMBOLS = {
    "um": f"{THIN_SPACE}µm",
    "deg": "°",
    "degC": f"{THIN_SPACE}°C",
    "degF": f"{THIN_SPACE}°F",
    "count": "",
}
