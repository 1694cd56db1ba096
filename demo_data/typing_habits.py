"""How people write a number down: units, fractions, commas, degrees.

Values come in the canonical unit of their quantity and leave as the text of a cell and
the unit beside it. Rounding to what an instrument shows is part of the habit.
"""

import math
from dataclasses import dataclass
from fractions import Fraction

MM, UM, PCT, SLOPE, KN = "mm", "um", "%", "mm/m", "kN"

UNIT = {
    "tilt_x": SLOPE, "tilt_y": SLOPE, "settlement": MM, "wall": MM, "coating": UM,
    "rusted_area": PCT, "gap": MM, "indentation": MM, "jack_extension": MM,
    "jack_engagement": MM, "limb_height": MM, "limb_diameter": MM, "wound_width": MM,
    "wound_height": MM, "lip": MM, "projection": MM, "crack_width": MM, "tension": KN,
    "sag": MM, "slack": MM, "strand_diameter": MM, "rod_diameter": MM,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Gauge:
    """One way to take a quantity.

    Attributes
    ----------
    sd : of a careful repeat, the hidden truth [unit, or a share of the value]
    step : what it shows [unit]
    """

    method: str
    sd: float
    step: float
    relative: bool = False


PLUMB, FRAME = Gauge("plumb bob", 0.75, 0.5), Gauge("frame level", 0.3, 0.1)
DIGITAL = Gauge("inclinometer reversed", 0.95, 0.1)
LEVEL, FINE_LEVEL = Gauge("level", 0.75, 0.5), Gauge("digital level", 0.35, 0.1)
WATER = Gauge("water level", 1.5, 1.0)
ULTRASONIC = Gauge("ultrasonic", 0.13, 0.1)
COATING = Gauge("coating gauge", 7.0, 1.0)
BY_EYE = Gauge("eye", 0.03, 0.1)
FEELER = Gauge("feeler", 0.1, 0.1)
CALLIPER = Gauge("calliper", 0.09, 0.05)
BARK_CALLIPER = Gauge("calliper", 0.95, 0.5)
WIRE_CALLIPER = Gauge("calliper", 0.05, 0.01)
STEEL_CALLIPER = Gauge("calliper", 0.12, 0.05)
PHOTO = Gauge("photo", 1.5, 0.5)
TAPE = Gauge("tape", 2.2, 1.0)
RULE = Gauge("tape", 0.6, 0.5)
SPARE_TAPE = Gauge("tape", 3.5, 1.0)
MID_SPAN = Gauge("sag", 7.0, 5.0)
METER = Gauge("tension meter", 0.025, 0.05, relative=True)

_LARGE = 600.0


def typed(quantity: str, value: float, gauge: Gauge, habit: str) -> tuple[str, str]:
    """A value as that person writes it: the cell and the unit beside it."""
    unit = UNIT[quantity]
    write = _HABITS.get((habit, unit))
    if write is not None and _fits(habit, unit, gauge):
        return write(value)
    text = plain(round(value / gauge.step) * gauge.step, gauge.step)
    if gauge is FEELER and float(text) == 0:
        text = "0"
    if habit == "unit in the cell":
        return f"{text} {'µm' if unit == UM else unit}", ""
    if habit == "comma" and unit == MM:
        return f"{text.replace('.', ',')} mm", ""
    return text, unit


def _fits(habit: str, unit: str, gauge: Gauge) -> bool:
    """Whether the habit does not throw away what the gauge shows."""
    if habit == "degrees":
        return gauge is DIGITAL
    return unit != MM or gauge.step >= 0.5


def plain(value: float, step: float) -> str:
    """A number with as many decimals as its step has, and no minus zero."""
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0 else text


def inches(value_mm: float) -> tuple[str, str]:
    """Feet, inches and sixteenths, as on a rule of the old kind."""
    sixteenths = round(abs(value_mm) / 25.4 * 16)
    sign = "-" if value_mm < 0 and sixteenths else ""
    if value_mm > _LARGE:
        feet, rest = divmod(sixteenths, 16 * 12)
        return f"{sign}{feet} ft {_sixteenths(rest)} in", ""
    return f'{sign}{_sixteenths(sixteenths)}"', ""


def millimetres(text: str) -> float:
    """A short length as written here, back as a number. [mm]"""
    if not text.endswith('"'):
        return float(text)
    return 25.4 * float(sum(Fraction(part) for part in text[:-1].split()))


def _sixteenths(count: int) -> str:
    whole, part = divmod(count, 16)
    if not part:
        return str(whole)
    shared = math.gcd(part, 16)
    fraction = f"{part // shared}/{16 // shared}"
    return f"{whole} {fraction}" if whole else fraction


def _centimetres(value_mm: float) -> tuple[str, str]:
    return plain(value_mm / 10.0, 0.1).replace(".", ",") + " cm", ""


def _degrees(value_mm_m: float) -> tuple[str, str]:
    degrees = math.degrees(math.atan(value_mm_m / 1000.0))
    return plain(round(degrees * 20.0) / 20.0, 0.01) + "°", ""


def _per_metre(value_mm_m: float) -> tuple[str, str]:
    return plain(value_mm_m, 0.1) + " mm/m", ""


_HABITS = {
    ("inches", MM): inches,
    ("inches", SLOPE): lambda value: (plain(value * 0.012, 0.01), "in/ft"),
    ("centimetres", MM): _centimetres,
    ("centimetres", SLOPE): _per_metre,
    ("degrees", SLOPE): _degrees,
}
