"""Columns by AISC 360, in two dialects that never meet.

Allowable strength (ASD, divided by omega, for service loads) and design strength (LRFD,
times phi, for factored loads) are two result types with two functions. Eurocode lives
in `monitor.mechanics.columns_ec3`.

References
----------
.. [1] ANSI/AISC 360-16 and 360-22 (same equations): E3 flexural buckling, F7/F8
   bending, H1.1 combined forces, B4.1 width-to-thickness, appendix 8 second order; as
   reproduced in published worked examples. Table B4.1 round limits, appendix 8 factors
   and the bending limits from memory.
"""

from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

import numpy as np

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.guard import Floats, not_negative, plain, positive
from monitor.mechanics.screening import Screening
from monitor.mechanics.sections import Section

ASD = "AISC 360 E3/H1, allowable strength (ASD)"
LRFD = "AISC 360 E3, design strength (LRFD)"
MODULUS_MPA = 199_948.0  # 29 000 ksi
OMEGA = 1.67
PHI = 0.90
ASD_ALPHA = 1.6  # second order is worked out at 1.6 times service load
ADVISED_SLENDERNESS = 200.0  # user note in E2, from memory


class EndFixity(StrEnum):
    """How the two ends of a column are held."""

    PINNED_PINNED = "pinned - pinned"
    FIXED_PINNED = "fixed - pinned"
    FIXED_FIXED = "fixed - fixed"
    FIXED_FREE = "fixed - free"


# Recommended values of the AISC commentary; fixed-fixed and fixed-free from memory.
LENGTH_FACTOR = MappingProxyType(
    {
        EndFixity.PINNED_PINNED: 1.0,
        EndFixity.FIXED_PINNED: 0.80,
        EndFixity.FIXED_FIXED: 0.65,
        EndFixity.FIXED_FREE: 2.1,
    }
)


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """A column to be checked.

    Parameters
    ----------
    section : as it is now, loss included
    length_mm : between its ends [mm]
    length_factor : K, see `LENGTH_FACTOR`
    yield_mpa : specified yield strength [MPa]
    wall_limit : slenderness of the wall up to which all of it counts
    """

    section: Section
    length_mm: Floats
    length_factor: Floats
    yield_mpa: Floats
    wall_limit: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AllowableColumn(Screening):
    """What a column may carry of service load."""

    slenderness: Floats
    allowable_kn: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DesignColumn(Screening):
    """What a column may carry of factored load."""

    slenderness: Floats
    design_kn: Floats


def allowable_column(column: Column) -> AllowableColumn:
    """Return the allowable axial load, for service loads."""
    slenderness, nominal_n = _checked_nominal(column)
    return AllowableColumn(
        method=ASD,
        assumed=_assumed(slenderness),
        slenderness=slenderness,
        allowable_kn=plain(nominal_n / OMEGA / 1000.0),
    )


def design_column(column: Column) -> DesignColumn:
    """Return the design axial load, for factored loads."""
    slenderness, nominal_n = _checked_nominal(column)
    return DesignColumn(
        method=LRFD,
        assumed=_assumed(slenderness),
        slenderness=slenderness,
        design_kn=plain(PHI * nominal_n / 1000.0),
    )


def elastic_stress_mpa(slenderness: Floats) -> Floats:
    """Return Euler's stress, AISC 360 E3-4. [MPa]"""
    return plain(np.pi**2 * MODULUS_MPA / positive("slenderness", slenderness, "") ** 2)


def critical_stress_mpa(slenderness: Floats, yield_mpa: Floats) -> Floats:
    """Return the stress at which a column buckles, AISC 360 E3-2 and E3-3. [MPa]"""
    fy = positive("yield strength", yield_mpa, "MPa")
    fe = np.asarray(elastic_stress_mpa(slenderness))
    ratio = fy / fe
    inelastic = 0.658 ** np.minimum(ratio, 2.25) * fy
    return plain(np.where(ratio <= 2.25, inelastic, 0.877 * fe))


def nominal_axial_n(area_mm2: Floats, slenderness: Floats, fy_mpa: Floats) -> Floats:
    """Return the nominal strength without any safety, AISC 360 E3-1. [N]"""
    area = positive("area", area_mm2, "mm2")
    return plain(area * critical_stress_mpa(slenderness, fy_mpa))


def euler_n(inertia_mm4: Floats, effective_mm: Floats) -> Floats:
    """Return the elastic buckling load, pi^2 E I / (K L)^2. [N]"""
    inertia = positive("inertia", inertia_mm4, "mm4")
    length = positive("effective length", effective_mm, "mm")
    return plain(np.pi**2 * MODULUS_MPA * inertia / length**2)


def box_wall_limit(yield_mpa: Floats) -> Floats:
    """Return the flat-to-wall ratio up to which a box counts in full, table B4.1a."""
    fy = positive("yield strength", yield_mpa, "MPa")
    return plain(1.40 * np.sqrt(MODULUS_MPA / fy))


def round_wall_limit(yield_mpa: Floats) -> Floats:
    """Return D/t up to which a round tube counts in full, table B4.1a (from memory)."""
    return plain(0.11 * MODULUS_MPA / positive("yield strength", yield_mpa, "MPa"))


def box_compact_limit(yield_mpa: Floats) -> Floats:
    """Return the ratio up to which a box bends plastically, table B4.1b."""
    fy = positive("yield strength", yield_mpa, "MPa")
    return plain(1.12 * np.sqrt(MODULUS_MPA / fy))


def round_compact_limit(yield_mpa: Floats) -> Floats:
    """Return D/t up to which a round tube bends plastically (from memory)."""
    return plain(0.07 * MODULUS_MPA / positive("yield strength", yield_mpa, "MPa"))


def nominal_moment_nmm(section: Section, fy_mpa: Floats, compact: Floats) -> Floats:
    """Return the nominal bending strength, AISC 360 F7 and F8. [N mm]

    Plastic up to the compact limit; beyond it only the elastic modulus is counted,
    which lies below the curve of the standard as long as the wall counts in full.
    """
    fy = positive("yield strength", fy_mpa, "MPa")
    stocky = np.asarray(section.slenderness) <= compact
    return plain(fy * np.where(stocky, section.plastic_mm3, section.elastic_mm3))


def amplifier(axial_n: Floats, euler_n: Floats, alpha: Floats = 1.0) -> Floats:
    """Return 1 / (1 - alpha P / Pe); infinite when the column can not stand.

    Parameters
    ----------
    alpha : 1.0 with factored loads, 1.6 with service loads (appendix 8, from memory)
    """
    axial = not_negative("axial load", axial_n, "N")
    left = 1.0 - alpha * axial / positive("Euler load", euler_n, "N")
    with np.errstate(divide="ignore"):
        return plain(np.where(left > 0.0, 1.0 / np.maximum(left, 0.0), np.inf))


def end_moment_amplifier(
    axial_n: Floats, euler_n: Floats, alpha: Floats = 1.0
) -> Floats:
    """Return the amplifier of a moment at one end only: Cm = 0.6, never below 1."""
    return plain(np.maximum(0.6 * np.asarray(amplifier(axial_n, euler_n, alpha)), 1.0))


def interaction(axial_ratio: Floats, moment_ratio: Floats) -> Floats:
    """Return the combined use of strength, AISC 360 H1-1a and H1-1b.

    The two branches differ by a small step at an axial ratio of 0.2.

    Parameters
    ----------
    axial_ratio : required over available axial strength
    moment_ratio : sum of required over available moments of both axes
    """
    p = not_negative("axial ratio", axial_ratio, "")
    m = np.asarray(moment_ratio, dtype=np.float64)
    return plain(np.where(p >= 0.2, p + 8.0 / 9.0 * m, p / 2.0 + m))


def _checked_nominal(column: Column) -> tuple[Floats, Floats]:
    section = column.section
    if np.any(np.asarray(section.slenderness) > column.wall_limit):
        raise InsufficientData(
            "The wall is so thin for its width that it buckles by itself before the "
            "post does; AISC 360 E7 is not part of this screen. Needed: an engineer."
        )
    length = positive("length", column.length_mm, "mm")
    effective = length * positive("length factor", column.length_factor, "")
    slenderness = plain(effective / np.asarray(section.radius_mm))
    if np.any(np.asarray(slenderness) > 1.5 * ADVISED_SLENDERNESS):
        raise InvalidInput(
            f"Slenderness {np.max(slenderness):.0f} is beyond what this screen takes "
            f"({1.5 * ADVISED_SLENDERNESS:.0f}); check length, size and their units.",
            field="length",
        )
    nominal = nominal_axial_n(section.area_mm2, slenderness, column.yield_mpa)
    return slenderness, nominal


def _assumed(slenderness: Floats) -> tuple[str, ...]:
    straight = "The post is straight within mill and erection tolerance."
    if np.any(np.asarray(slenderness) > ADVISED_SLENDERNESS):
        return straight, "Slenderness is above the advised 200."
    return (straight,)
