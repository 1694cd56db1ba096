"""Columns by Eurocode 3: axial buckling only, apart from AISC in every way.

Bending from lean and eccentricity is not in this check; the result says so.

References
----------
.. [1] EN 1993-1-1:2005, 6.3.1.2 and tables 6.1, 6.2, as reproduced; class limits of
   table 5.2 and the recommended partial factor from memory.
"""

from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

import numpy as np

from monitor.errors import InsufficientData
from monitor.mechanics.guard import Array, Floats, plain, positive
from monitor.mechanics.screening import Screening
from monitor.mechanics.sections import Section

METHOD = "EN 1993-1-1 6.3.1, design buckling resistance"
MODULUS_MPA = 210_000.0


class Curve(StrEnum):
    """Buckling curve, table 6.1."""

    A0 = "a0"
    A = "a"
    B = "b"
    C = "c"
    D = "d"


_IMPERFECTION = MappingProxyType(
    {Curve.A0: 0.13, Curve.A: 0.21, Curve.B: 0.34, Curve.C: 0.49, Curve.D: 0.76}
)


class Forming(StrEnum):
    """How a hollow section was made; it decides the curve (table 6.2)."""

    HOT_FINISHED = "hot finished"
    COLD_FORMED = "cold formed"


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """A column to be checked.

    Parameters
    ----------
    section : as it is now, loss included
    buckling_length_mm : Lcr [mm]
    yield_mpa : fy [MPa]
    forming : decides the curve
    class_3_limit : slenderness of the wall up to which all of it counts
    """

    section: Section
    buckling_length_mm: Floats
    yield_mpa: Floats
    forming: Forming
    class_3_limit: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ResistanceColumn(Screening):
    """What a column resists of design load."""

    relative_slenderness: Floats
    reduction: Floats
    resistance_kn: Floats


def resistance_column(column: Column, gamma_m1: float = 1.0) -> ResistanceColumn:
    """Return the design buckling resistance, for design loads.

    Parameters
    ----------
    gamma_m1 : partial factor of the national annex
    """
    section = column.section
    if np.any(np.asarray(section.slenderness) > column.class_3_limit):
        raise InsufficientData(
            "The wall is class 4: it buckles by itself first. Effective widths "
            "(EN 1993-1-5) are not part of this screen. Needed: an engineer."
        )
    area = positive("area", section.area_mm2, "mm2")
    fy = positive("yield strength", column.yield_mpa, "MPa")
    ncr = elastic_load_n(section.inertia_mm4, column.buckling_length_mm)
    slender = relative_slenderness(plain(area * fy), ncr)
    chi = reduction(slender, curve_of(column.forming, column.yield_mpa))
    return ResistanceColumn(
        method=METHOD,
        assumed=("Bending from lean and eccentricity is not in this number.",),
        relative_slenderness=slender,
        reduction=chi,
        resistance_kn=plain(chi * area * fy / gamma_m1 / 1000.0),
    )


def curve_of(forming: Forming, yield_mpa: Floats) -> Curve:
    """Return the buckling curve of a hollow section, table 6.2."""
    if forming is Forming.COLD_FORMED:
        return Curve.C
    return Curve.A0 if np.all(np.asarray(yield_mpa) >= 460.0) else Curve.A


def elastic_load_n(inertia_mm4: Floats, length_mm: Floats) -> Floats:
    """Return the elastic critical load Ncr. [N]"""
    inertia = positive("inertia", inertia_mm4, "mm4")
    length = positive("buckling length", length_mm, "mm")
    return plain(np.pi**2 * MODULUS_MPA * inertia / length**2)


def relative_slenderness(squash_n: Floats, elastic_n: Floats) -> Floats:
    """Return sqrt(A fy / Ncr), 6.3.1.2(1)."""
    squash = positive("squash load", squash_n, "N")
    return plain(np.sqrt(squash / positive("critical load", elastic_n, "N")))


def reduction(slender: Floats, curve: Curve) -> Floats:
    """Return the reduction chi of a buckling curve, equation 6.49."""
    lam: Array = positive("relative slenderness", slender, "")
    phi = 0.5 * (1.0 + _IMPERFECTION[curve] * (lam - 0.2) + lam**2)
    root = np.sqrt(np.maximum(phi**2 - lam**2, 0.0))
    return plain(np.minimum(1.0 / (phi + root), 1.0))


def box_class_3_limit(yield_mpa: Floats) -> Floats:
    """Return the flat-to-wall ratio of class 3, 42 epsilon (from memory)."""
    return plain(42.0 * np.sqrt(235.0 / positive("yield strength", yield_mpa, "MPa")))


def round_class_3_limit(yield_mpa: Floats) -> Floats:
    """Return D/t of class 3, 90 epsilon squared (from memory)."""
    return plain(90.0 * 235.0 / positive("yield strength", yield_mpa, "MPa"))
