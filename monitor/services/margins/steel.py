"""From the words of an as-built record to the strength of a steel.

Least values at small thickness, from memory of the standards named beside them.
"""

import re
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Steel:
    """A named grade.

    Attributes
    ----------
    words : pattern of how the grade is written
    yield_mpa, tensile_mpa : least yield and tensile strength [MPa]
    is_named : whether the words name a grade at all
    """

    name: str
    words: str
    yield_mpa: float
    tensile_mpa: float
    source: str
    is_named: bool = True


_EN = "EN 10025-2, to 16 mm"
STEELS = (
    Steel(
        "mild steel", r"mild steel", 207.0, 414.0,
        "names no grade; the least of structural steel since 1901, 30 ksi, AISC "
        "Design Guide 15", is_named=False,
    ),
    Steel("A307", r"a\s?307", 240.0, 414.0, "ASTM A307; yield as ISO 898-1 4.6"),
    Steel("S235", r"s\s?235(?!\d)|fe\s?360|st\s?37", 235.0, 360.0, _EN),
    Steel("4.6", r"\b4\.6\b", 240.0, 400.0, "ISO 898-1"),
    Steel("A53 grade B", r"a\s?53\b", 241.0, 414.0, "ASTM A53"),
    Steel("A36", r"a\s?36\b", 248.0, 400.0, "ASTM A36"),
    Steel("S275", r"s\s?275(?!\d)|fe\s?430|st\s?44", 275.0, 410.0, _EN),
    Steel("A500 grade B", r"a\s?500.*\bb\b", 290.0, 400.0, "ASTM A500, round tube"),
    Steel("5.6", r"\b5\.6\b", 300.0, 500.0, "ISO 898-1"),
    Steel("A500 grade C", r"a\s?500.*\bc\b", 317.0, 427.0, "ASTM A500, round tube"),
    Steel("A572 grade 50", r"a\s?572.*\b50\b", 345.0, 448.0, "ASTM A572"),
    Steel("S355", r"s\s?355(?!\d)|fe\s?510|st\s?52", 355.0, 470.0, _EN),
    Steel("8.8", r"\b8\.8\b", 640.0, 800.0, "ISO 898-1, to M16"),
)  # fmt: skip
"""Weakest first: where words name two grades, the weaker one is taken."""


def steel_of(words: str) -> Steel | None:
    """The grade that the words name, None if they name none that is known.

    Examples
    --------
    >>> steel_of("steel, grade 8.8").yield_mpa, steel_of("S 275 JR").yield_mpa
    (640.0, 275.0)
    """
    said = words.casefold()
    return next((steel for steel in STEELS if re.search(steel.words, said)), None)


def refusal(words: str) -> str:
    """Why nothing is concluded from words that name no known grade."""
    named = ", ".join(steel.name for steel in STEELS if steel.is_named)
    if not words.strip():
        return f"The steel grade is not recorded; needed: one of {named}."
    return f"The steel “{words}” is not in the table; needed: one of {named}."
