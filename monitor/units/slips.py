"""Whether a surprising value looks like a mistaken unit.

An answer is a question to ask the person, never a correction: nothing is changed.
"""

import math
from dataclasses import dataclass

RATIO_WITHIN = 0.08  # a value within 30 % of the expected one is near no ratio below


@dataclass(frozen=True, slots=True)
class Slip:
    """A ratio that a common mistake gives, and the question it raises."""

    ratio: float
    times: str
    question: str


def unit_slip(value: float, expected: float) -> str | None:
    """Return the question a value raises, or None if it raises none.

    Parameters
    ----------
    value, expected : the new value and the one foreseen, in one canonical unit

    Examples
    --------
    >>> unit_slip(1.7, 43.0)
    '1/25.4 of the expected value: were inches entered as mm?'
    """
    if not (math.isfinite(value) and math.isfinite(expected)) or expected == 0:
        return None
    ratio = value / expected
    nearest = min(SLIPS, key=lambda slip: abs(ratio / slip.ratio - 1.0))
    if abs(ratio / nearest.ratio - 1.0) > RATIO_WITHIN:
        return None
    return f"{nearest.times} the expected value: {nearest.question}?"


def _both_ways(ratio: float, name: str, forth: str, back: str) -> tuple[Slip, Slip]:
    return (
        Slip(ratio, f"{name} times", forth),
        Slip(1.0 / ratio, f"1/{name} of", back),
    )


# 3.28 (feet for metres) lies too near to π to be told apart, so one question asks both.
SLIPS: tuple[Slip, ...] = (
    *_both_ways(25.4, "25.4", "were mm entered as inches", "were inches entered as mm"),
    *_both_ways(
        10.0,
        "10",
        "did the decimal point slip, or were mm entered as cm",
        "did the decimal point slip, or were cm entered as mm",
    ),
    *_both_ways(2.54, "2.54", "were cm entered as inches", "were inches entered as cm"),
    *_both_ways(
        1000.0 * math.tan(math.radians(1.0)),
        "17.455",
        "were mm/m entered as degrees",
        "were degrees entered as mm/m",
    ),
    *_both_ways(
        math.pi,
        "3.14",
        "is it the girth instead of the diameter, or feet entered as metres",
        "is it the diameter instead of the girth, or metres entered as feet",
    ),
    *_both_ways(304.8, "304.8", "were mm entered as feet", "were feet entered as mm"),
    *_both_ways(
        4.4482216152605,
        "4.448",
        "were newtons entered as lbf",
        "were lbf entered as newtons",
    ),
    *_both_ways(
        224.80894309971, "224.8", "were lbf entered as kN", "were kN entered as lbf"
    ),
)
