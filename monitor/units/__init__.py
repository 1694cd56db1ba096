"""Measurements as people write them, and the one unit each is kept in.

Text comes in through `parse` and goes out through `show`; everything between is a
plain number in a canonical unit, whose name stands in the name of the variable.

    vocabulary  the units, their spellings, what each measures
    factors     conversion; the factors come from the pint library
    grammar     what may be typed: one strict grammar of numbers
    measure     text and a wanted unit in, a `Measure` or a refusal in words out
    display     numbers for people
    slips       whether a surprising value looks like a mistaken unit

Examples
--------
>>> parse("14 ft 7 in", "m").value
4.445
>>> show(4.445, "m", system="us")
'14\u2009ft 7.0\u2009in'
>>> unit_named("inches")
'in'
"""

from monitor.units.display import show, unit_sign
from monitor.units.factors import convert
from monitor.units.measure import Measure, parse
from monitor.units.slips import unit_slip
from monitor.units.vocabulary import CANONICAL, unit_named

__all__ = [
    "CANONICAL",
    "Measure",
    "convert",
    "parse",
    "show",
    "unit_named",
    "unit_sign",
    "unit_slip",
]
