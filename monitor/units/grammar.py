"""What may be typed: one strict grammar for a number and its unit.

    typed      [ < > <= >= ≤ ≥ ] [ - − – + ] body
    body       magnitude [unit]  |  whole feet [-] magnitude inches  |  ratio
    magnitude  whole  |  decimal  |  decimal e±nn  |  n/d  |  whole n/d  |  whole-n/d
    ratio      1:200  |  1 in 200                              (slopes only)

Decimals take a point or a comma. Three digits after a lone comma (“1,234”) are marked
as grouped, for the caller to accept or refuse by the unit; three digits after a lone
point are decimals. Groups of three may be set off by commas, points or a no-break or
thin space, not by a plain one (“1 234” may be two numbers). Powers of ten are taken
(“1e-05”), since machines write small readings that way. Fractions are proper.
"""

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from monitor.errors import UnclearNumber
from monitor.units.vocabulary import MARKS

LONGEST_TEXT = 40

COMMA_MAY_MEAN_TWO_THINGS = (
    "A comma before three digits may mark thousands or decimals; write “1234” or "
    "“1.234”."
)


@dataclass(frozen=True, slots=True)
class Typed:
    """One measurement as typed, not yet converted.

    Parameters
    ----------
    value, step : the number, and the worth of its last digit or fraction
    unit : the unit as typed, or ours for feet with inches and ratios; "" if none
    relation : "=", "<" or ">"
    has_fraction : a fraction was typed, as in “5/8”
    is_grouped : one comma with three digits after it was read as thousands
    """

    value: Fraction
    step: Fraction
    unit: str = ""
    relation: str = "="
    has_fraction: bool = False
    is_grouped: bool = False


def read(text: str) -> Typed:
    """Return what a text says, or refuse it in words."""
    opening = _OPENING.match(text)
    if len(text) > LONGEST_TEXT or opening is None:
        raise UnclearNumber(_EXPECTED)
    rest = text[opening.end() :]
    body = _body(rest if rest.isascii() else rest.translate(_ASCII))
    relation = _RELATIONS[opening["relation"]]
    is_negative = opening["sign"] in ("-", "−", "–")
    if relation == "=" and not is_negative:
        return body
    value = -body.value if is_negative else body.value
    return replace(body, value=value, relation=relation)


def _body(text: str) -> Typed:
    text = text.replace("''", '"').strip()
    if parts := _RATIO.fullmatch(text):
        return _ratio(_number(parts["rise"]), _number(parts["run"]))
    if parts := _FEET_INCHES.fullmatch(text):
        return _feet_inches(int(parts["feet"]), _number(parts["inches"]))
    if parts := _PLAIN.fullmatch(text):
        return _magnitude(parts, parts["unit"] or "")
    raise UnclearNumber(_EXPECTED)


def _number(text: str) -> Typed:
    parts = _NUMBER.fullmatch(text.strip())
    if parts is None:
        raise UnclearNumber(_EXPECTED)
    return _magnitude(parts, "")


def _magnitude(parts: re.Match[str], unit: str) -> Typed:
    if parts["under"] is not None:
        return _fraction(parts, unit)
    digits, places, is_grouped = _decimal(parts["decimal"])
    power = int(parts["power"] or 0) - places
    if is_grouped and parts["power"]:
        raise UnclearNumber(COMMA_MAY_MEAN_TWO_THINGS)
    if power < 0:
        scale = 10**-power
        value, step = Fraction(digits, scale), Fraction(1, scale)
    else:
        value, step = Fraction(digits * 10**power), Fraction(10**power)
    return Typed(value, step, unit, is_grouped=is_grouped)


def _fraction(parts: re.Match[str], unit: str) -> Typed:
    over, under = int(parts["over"]), int(parts["under"])
    if under == 0:
        raise UnclearNumber("A fraction can not have nothing below the line.")
    if over >= under:
        raise UnclearNumber(
            f"“{parts['over']}/{parts['under']}” is not a proper fraction and may be a "
            "date; write it as “1 1/8 in”, or as a decimal."
        )
    value = int(parts["whole"] or 0) + Fraction(over, under)
    return Typed(value, Fraction(1, under), unit, has_fraction=True)


def _decimal(text: str) -> tuple[int, int, bool]:
    """Return the digits as one whole number, the decimal places, and “is grouped”."""
    if parts := _SIMPLE_DECIMAL.fullmatch(text):
        places = parts["places"] or ""
        return int(parts["whole"] + places), len(places), False
    for pattern in _GROUPED:
        if parts := pattern.fullmatch(text):
            places = parts["places"] or ""
            whole = re.sub("[^0-9]", "", parts["whole"])
            is_grouped = _LONE_COMMA.fullmatch(text) is not None
            return int(whole + places), len(places), is_grouped
    raise UnclearNumber(
        "Its commas and points do not make one number; write digits with one decimal "
        "point, such as “1234.5”."
    )


def _feet_inches(feet: int, inches: Typed) -> Typed:
    if inches.value >= 12:
        raise UnclearNumber(
            "Inches beside feet are less than 12; check the inches, or write the whole "
            "in one unit."
        )
    return Typed(12 * feet + inches.value, inches.step, "in")


def _ratio(rise: Typed, run: Typed) -> Typed:
    """Return a slope of so much in so much as mm/m.

    In “1 in 200” the run was measured and carries the step; in “3 in 1000” the rise.
    """
    if rise.is_grouped or run.is_grouped:
        raise UnclearNumber(COMMA_MAY_MEAN_TWO_THINGS)
    if run.value == 0 or rise.value > run.value:
        raise UnclearNumber(
            "A slope is a smaller rise in a larger run, such as “1:200” or “1 in 200”."
        )
    slope = 1000 * rise.value / run.value
    if rise.value == 1:
        return Typed(slope, slope * run.step / run.value, "mm/m")
    return Typed(slope, 1000 * rise.step / run.value, "mm/m")


_EXPECTED = (
    "Expected one number and its unit, such as “14.2 mm”, “14 ft 7 in”, “4 1/2 in” or "
    "“1.2°”; write only that."
)
_RELATIONS = {None: "=", "<": "<", "<=": "<", "≤": "<", ">": ">", ">=": ">", "≥": ">"}

# A vulgar fraction becomes " 1/2 " with spaces on both sides, so that “4½” can not turn
# into 41/2 nor “½2” into 1/22. The spaces that mark groups become one.
_VULGAR = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5",
    "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅐": "1/7", "⅛": "1/8", "⅜": "3/8",
    "⅝": "5/8", "⅞": "7/8", "⅑": "1/9", "⅒": "1/10",
}  # fmt: skip
_ASCII = MARKS | str.maketrans(
    {sign: f" {written} " for sign, written in _VULGAR.items()}
    | {"−": "-", "–": "-", "⁄": "/", "\u00a0": "\u2009", "\u202f": "\u2009"}
)

_GAP = "[ \u2009]*"
_MAGNITUDE = (
    # No possessive quantifiers: over a group they fail before Python 3.11.4.
    "(?:"
    "(?:(?P<whole>[0-9]+)(?:[ \u2009]+|-))?"
    "(?P<over>[0-9]{1,4})/(?P<under>[0-9]{1,4})(?![0-9/.,])"
    "|(?P<decimal>[0-9.,]+(?:\u2009[0-9.,]+)*)"
    "(?:[eE](?P<power>[-+]?[0-9]{1,2})(?![0-9.,]))?"
    ")"
)
_NUMBER = re.compile(_MAGNITUDE)
_PLAIN = re.compile(rf"{_MAGNITUDE}{_GAP}(?P<unit>(?:[^\W0-9_]|[%‰°'\"])[^0-9]*[2²]?)?")
_FEET_INCHES = re.compile(
    rf"(?P<feet>[0-9]+){_GAP}(?:ft\.?|feet|foot|'){_GAP}-?{_GAP}"
    rf"(?P<inches>[0-9][-0-9./, \u2009]*?){_GAP}(?:ins?\.?|inch|inches|\")",
    re.IGNORECASE,
)
_RATIO = re.compile(rf"(?P<rise>[0-9.,]+)(?:{_GAP}:{_GAP}| +in +)(?P<run>[0-9.,]+)")
_OPENING = re.compile(
    rf"(?P<relation><=|>=|[<>≤≥])?[ \u2009\u00a0\u202f]*(?P<sign>[-−–+])?"
    rf"(?=[.0-9{''.join(_VULGAR)}])"
)
_SIMPLE_DECIMAL = re.compile(r"(?P<whole>[0-9]*)(?:\.(?P<places>[0-9]+))?(?<=[0-9])")
_GROUPED = tuple(
    re.compile(pattern)
    for pattern in (
        r"(?P<whole>[1-9][0-9]{0,2}(?:,[0-9]{3})+)(?:\.(?P<places>[0-9]+))?",
        r"(?P<whole>[1-9][0-9]{0,2}(?:\.[0-9]{3})+),(?P<places>[0-9]+)",
        r"(?P<whole>[1-9][0-9]{0,2}(?:\.[0-9]{3}){2,})(?P<places>)",
        "(?P<whole>[1-9][0-9]{0,2}(?:\u2009[0-9]{3})+)(?:[.,](?P<places>[0-9]+))?",
        r"(?P<whole>[0-9]+),(?P<places>[0-9]+)",
    )
)
_LONE_COMMA = re.compile("[1-9][0-9]{0,2},[0-9]{3}")
