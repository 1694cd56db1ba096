"""Strand, cables and guys: strength, tension in service, what takes it away.

References
----------
.. [1] ASTM A475, minimum breaking strength of 7-wire zinc-coated strand; rows marked
   "as reproduced" were seen in a data sheet, the others are from memory.
.. [2] Taut string and shallow parabola: any textbook of mechanics. Pinned stiff
   string: exact. Clamped: Ren, Chen, Hu 2005, Journal of Structural Engineering
   (coefficients from memory). Sag parameter: Irvine, Cable Structures, 1981.
.. [3] Working factors: WAC 296-24-29401 (5, retire at 15 % loss), Alberta OHS code
   (3 for guys), as reproduced; ASCE 19 (about 2.2) from memory.
"""

from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

import numpy as np

from monitor.errors import InvalidInput
from monitor.mechanics.guard import (
    Array,
    Floats,
    known,
    not_negative,
    plain,
    positive,
    within,
)
from monitor.mechanics.lean import GRAVITY

NEWTON_PER_LBF = 4.4482216152605
KG_M_PER_LB_1000FT = 0.45359237 / 304.8
STEEL_EXPANSION_PER_K = 12e-6
STRAND_WIRES = 7
ROPE_FACTOR = 5.0  # breaking strength over working load
GUY_FACTOR = 3.0
_CLAMPED_SHORT, _CLAMPED_LONG = 18.0, 210.0  # limits of Ren's three formulas


class Grade(StrEnum):
    """Grade of A475 strand; always record it, they differ more than threefold."""

    COMMON = "common"
    SIEMENS_MARTIN = "Siemens-Martin"
    HIGH = "high strength"
    EXTRA_HIGH = "extra high strength"


@dataclass(frozen=True, slots=True)
class Strand:
    """A size of strand: diameter, breaking load by grade, mass, and the source."""

    diameter_mm: float
    breaking_lbf: tuple[int, int, int, int]
    lb_1000ft: int
    source: str


_SEEN = "A475 as reproduced"
_MEMORY = "A475 from memory"
STRANDS = MappingProxyType(
    {
        "1/8": Strand(3.175, (540, 910, 1330, 1830), 32, _SEEN),
        "3/16": Strand(4.7625, (1150, 1900, 2850, 3990), 73, _SEEN),
        "7/32": Strand(5.55625, (1540, 2560, 3850, 5400), 98, _SEEN),
        "1/4": Strand(6.35, (1900, 3150, 4750, 6650), 121, _SEEN),
        "5/16": Strand(
            7.9375,
            (3200, 5350, 8000, 11200),
            205,
            "A475 as reproduced; extra high strength from memory",
        ),
        "3/8": Strand(9.525, (4250, 6950, 10800, 15400), 273, _MEMORY),
        "7/16": Strand(11.1125, (5700, 9350, 14500, 20800), 399, _MEMORY),
        "1/2": Strand(12.7, (7400, 12100, 18800, 26900), 517, _MEMORY),
    }
)


@dataclass(frozen=True, slots=True, eq=False)
class Span:
    """A cable between two ends.

    Parameters
    ----------
    length_m : free length [m]
    mass_kg_m : mass of a metre [kg/m]
    bending_n_m2 : E I of the cable [N m2]; for strand somewhere between slipping
        wires and a solid bar, so a frequency gives tension to about 5 %
    """

    length_m: Floats
    mass_kg_m: Floats
    bending_n_m2: Floats = 0.0


def strand(size: str) -> Strand:
    """Return the row of a size such as "1/4" (inches); unknown sizes are refused."""
    return known("strand size", size, STRANDS)


def breaking_n(size: str, grade: Grade) -> float:
    """Return the minimum breaking strength of strand, ASTM A475. [N]"""
    return strand(size).breaking_lbf[list(Grade).index(grade)] * NEWTON_PER_LBF


def strand_mass_kg_m(size: str) -> float:
    """Return the mass of strand, ASTM A475. [kg/m]"""
    return strand(size).lb_1000ft * KG_M_PER_LB_1000FT


def working_load_n(breaking_n: Floats, factor: Floats) -> Floats:
    """Return the breaking strength over the working factor. [N]"""
    share = within("working factor", factor, "", (1.0, 12.0))
    return plain(positive("breaking strength", breaking_n, "N") / share)


def wires_left_share(broken: Floats, total: int = STRAND_WIRES) -> Floats:
    """Return the share of wires still whole; one of seven is 14 %: replace it."""
    return plain(1.0 - within("broken wires", broken, "", (0.0, total)) / total)


def metal_left_share(wire_mm: Floats, loss_mm: Floats) -> Floats:
    """Return the share of area left when every wire lost so much all round."""
    wire = positive("wire diameter", wire_mm, "mm")
    left = np.maximum(1.0 - 2.0 * not_negative("loss", loss_mm, "mm") / wire, 0.0)
    return plain(left**2)


def tension_from_sag_n(line_n_m: Floats, span_m: Floats, sag_m: Floats) -> Floats:
    """Return the tension of a level, shallow span, w L^2 / (8 s). [N]

    Poor when taut: millimetres of sag are then kilonewtons.
    """
    span, sag = positive("span", span_m, "m"), positive("sag", sag_m, "m")
    if np.any(sag > span / 5.0):
        raise InvalidInput("A sag over a fifth of the span is not shallow.")
    return plain(positive("weight", line_n_m, "N/m") * span**2 / (8.0 * sag))


def sag_m(line_n_m: Floats, span_m: Floats, tension_n: Floats) -> Floats:
    """Return the sag of a level, shallow span, w L^2 / (8 H). [m]"""
    span, pull = positive("span", span_m, "m"), positive("tension", tension_n, "N")
    return plain(positive("weight", line_n_m, "N/m") * span**2 / (8.0 * pull))


def slack_m(span_m: Floats, sag_m: Floats) -> Floats:
    """Return how much longer the cable is than its chord, 8/3 s^2 / L. [m]"""
    sag = not_negative("sag", sag_m, "m")
    return plain(8.0 / 3.0 * sag**2 / positive("span", span_m, "m"))


def string_frequency_hz(span: Span, tension_n: Floats, mode: int = 1) -> Floats:
    """Return the frequency of a taut string, (n/2L) sqrt(T/m). [Hz]"""
    length, mass = _length_mass(span)
    pull = positive("tension", tension_n, "N")
    return plain(mode / (2.0 * length) * np.sqrt(pull / mass))


def string_tension_n(span: Span, frequency_hz: Floats, mode: int = 1) -> Floats:
    """Return the tension of a taut string, 4 m L^2 (f/n)^2. [N]

    A stiff, clamped cable reads too high by it: 16 % at a stiffness number of 30.
    """
    length, mass = _length_mass(span)
    pitch = positive("frequency", frequency_hz, "Hz") / mode
    return plain(4.0 * mass * length**2 * pitch**2)


def pinned_tension_n(span: Span, frequency_hz: Floats) -> Floats:
    """Return the tension of a stiff cable with pinned ends, exact. [N]"""
    length, _ = _length_mass(span)
    bending = not_negative("bending stiffness", span.bending_n_m2, "N m2")
    taut = np.asarray(string_tension_n(span, frequency_hz))
    return plain(np.maximum(taut - np.pi**2 * bending / length**2, 0.0))


def clamped_tension_n(span: Span, frequency_hz: Floats) -> Floats:
    """Return the tension of a stiff cable with clamped ends, Ren et al. [N]

    Three formulas by the stiffness number L sqrt(T/EI): up to 18, up to 210, beyond.
    Within about 2 % of the exact solution.
    """
    length, mass = _length_mass(span)
    bending = positive("bending stiffness", span.bending_n_m2, "N m2")
    pitch = positive("frequency", frequency_hz, "Hz")
    drop = 2.363 / length * np.sqrt(bending / mass)
    middle = mass * np.maximum(2.0 * length * pitch - drop, 0.0) ** 2
    low = 3.432 * mass * length**2 * pitch**2 - 45.191 * bending / length**2
    number = length * np.sqrt(middle / bending)
    long = np.where(number > _CLAMPED_LONG, string_tension_n(span, pitch), middle)
    return plain(np.where(number <= _CLAMPED_SHORT, np.maximum(low, 0.0), long))


def stiffness_number(span: Span, tension_n: Floats) -> Floats:
    """Return L sqrt(T / EI): small is a beam, large is a string."""
    bending = positive("bending stiffness", span.bending_n_m2, "N m2")
    pull = positive("tension", tension_n, "N")
    return plain(positive("length", span.length_m, "m") * np.sqrt(pull / bending))


def sag_number(span: Span, tension_n: Floats, axial_n: Floats) -> Floats:
    """Return Irvine's lambda squared, (m g L/T)^2 EA/T.

    Above 0.17 (from memory) sag raises the first frequency; use the second mode.

    Parameters
    ----------
    axial_n : E A of the cable [N]
    """
    length, mass = _length_mass(span)
    pull = positive("tension", tension_n, "N")
    weight = mass * GRAVITY * length / pull
    return plain(weight**2 * positive("EA", axial_n, "N") / pull)


def warming_n(axial_n: Floats, warmer_k: Floats) -> Floats:
    """Return the tension a warmer day takes from a cable between stiff ends. [N]

    EA alpha dT. Tree ends give, so the true figure is smaller.
    """
    change = STEEL_EXPANSION_PER_K * np.asarray(warmer_k, dtype=np.float64)
    return plain(positive("EA", axial_n, "N") * change)


def _length_mass(span: Span) -> tuple[Array, Array]:
    return (
        positive("length", span.length_m, "m"),
        positive("mass", span.mass_kg_m, "kg/m"),
    )
