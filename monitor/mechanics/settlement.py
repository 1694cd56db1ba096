"""Ground that gives way slowly, the tilt it brings, and the load it takes off a post.

A post that settles may be an idle post: look for daylight at the saddle.

References
----------
.. [1] Secondary compression, Mesri and Godlewski 1977, as reproduced three times.
.. [2] Schmertmann 1970 and 1978, creep factor of sands, form as reproduced.
.. [3] Rigid plate on springs (Winkler) and propped beam: derived by hand. Rigid circle
   on a half-space: Poulos and Davis, Elastic Solutions, as reproduced.
.. [4] Choice between the logarithm and the straight line: own rule.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.guard import Array, Floats, finite, not_negative, plain, positive


class Shape(StrEnum):
    """How settlement goes on."""

    LOGARITHM = "slows down with the logarithm of time"
    LINE = "goes on as it does"


@dataclass(frozen=True, slots=True)
class SettlementLaw:
    """A fitted law, s = a + c log10(t) or s = a + c t, and why it was chosen.

    Parameters
    ----------
    start_mm : a [mm]
    pace_mm : c, per log cycle or per year [mm]
    residual_mm : spread of the readings about it [mm]
    """

    shape: Shape
    start_mm: float
    pace_mm: float
    residual_mm: float
    reason: str


def secondary_mm(
    coefficient: Floats, layer_mm: Floats, from_years: Floats, to_years: Floats
) -> Floats:
    """Return the secondary compression of a layer, C H log10(t2/t1). [mm]

    Parameters
    ----------
    coefficient : modified coefficient, below 0.001 overconsolidated clay, 0.005 to
        0.03 normal clay, 0.04 and more organic
    layer_mm : thickness of the layer [mm]
    from_years, to_years : since the load came on [y]
    """
    start, end = positive("start", from_years, "y"), positive("end", to_years, "y")
    if np.any(end < start):
        raise InvalidInput("The end of the time lies before its start.")
    layer = positive("layer", layer_mm, "mm")
    c = not_negative("coefficient", coefficient, "")
    return plain(c * layer * np.log10(end / start))


def creep_factor(years: Floats) -> Floats:
    """Return Schmertmann's factor for sands, 1 + 0.2 log10(t / 0.1 y)."""
    t = positive("years", years, "y")
    return plain(1.0 + 0.2 * np.log10(np.maximum(t, 0.1) / 0.1))


def mean_settlement_mm(
    load_n: Floats, area_mm2: Floats, subgrade_n_mm3: Floats
) -> Floats:
    """Return the settlement of a rigid plate on springs, P / (k A). [mm]

    Parameters
    ----------
    subgrade_n_mm3 : modulus of subgrade reaction; 1 MN/m3 is 0.001 N/mm3. Loose sand
        5-16, dense 64-128, clays 12-50 MN/m3 (from memory); smaller under wide plates
    """
    stiff = positive("subgrade modulus", subgrade_n_mm3, "N/mm3")
    load = not_negative("load", load_n, "N")
    return plain(load / (stiff * positive("area", area_mm2, "mm2")))


def edge_difference_mm(
    mean_mm: Floats, eccentricity_mm: Floats, length_mm: Floats
) -> Floats:
    """Return how much lower one edge goes: 12 e / L times the mean settlement. [mm]

    Holds for any spring stiffness while the whole plate is pressed (e <= L/6).
    """
    e = not_negative("eccentricity", eccentricity_mm, "mm")
    length = positive("plate length", length_mm, "mm")
    if np.any(6.0 * e > length * (1.0 + 1e-12)):
        raise InvalidInput("Beyond a sixth of the length one edge lifts off.")
    return plain(12.0 * e / length * not_negative("settlement", mean_mm, "mm"))


def circle_settlement_mm(
    load_n: Floats, radius_mm: Floats, modulus_mpa: Floats, poisson: float = 0.3
) -> Floats:
    """Return the settlement of a rigid circle on soil, P(1 - v^2)/(2 E R). [mm]"""
    stiff = positive("soil modulus", modulus_mpa, "MPa") * positive(
        "radius", radius_mm, "mm"
    )
    load = not_negative("load", load_n, "N")
    return plain(load * (1.0 - poisson**2) / (2.0 * stiff))


def circle_tilt_mm_m(
    moment_nmm: Floats, radius_mm: Floats, modulus_mpa: Floats, poisson: float = 0.3
) -> Floats:
    """Return the tilt of a rigid circle on soil, 3(1 - v^2)M/(4 E R^3). [mm/m]"""
    radius = positive("radius", radius_mm, "mm")
    stiff = 4.0 * positive("soil modulus", modulus_mpa, "MPa") * radius**3
    moment = not_negative("moment", moment_nmm, "N mm")
    return plain(1000.0 * 3.0 * (1.0 - poisson**2) * moment / stiff)


def limb_stiffness_n_mm(
    modulus_mpa: Floats, diameter_mm: Floats, post_at_mm: Floats
) -> Floats:
    """Return how hard a fixed limb pushes per mm at the post, 3 E I / a^3. [N/mm]"""
    diameter = positive("limb diameter", diameter_mm, "mm")
    stiff = 3.0 * positive("wood modulus", modulus_mpa, "MPa") * np.pi / 64.0
    return plain(stiff * diameter**4 / positive("distance", post_at_mm, "mm") ** 3)


def load_after_settlement_n(
    load_n: Floats, stiffness_n_mm: Floats, settled_mm: Floats
) -> Floats:
    """Return what a post still carries, R0 - k s, never below nothing. [N]"""
    return plain(np.maximum(_left(load_n, stiffness_n_mm, settled_mm), 0.0))


def gap_mm(load_n: Floats, stiffness_n_mm: Floats, settled_mm: Floats) -> Floats:
    """Return the daylight at the saddle once the post carries nothing. [mm]"""
    left = _left(load_n, stiffness_n_mm, settled_mm)
    stiff = positive("limb stiffness", stiffness_n_mm, "N/mm")
    return plain(np.maximum(-left / stiff, 0.0))


def load_on_spring_n(rigid_n: Floats, limb_n_mm: Floats, soil_n_mm: Floats) -> Floats:
    """Return what a post on giving soil carries, R0 / (1 + k limb / k soil). [N]"""
    soil = positive("soil stiffness", soil_n_mm, "N/mm")
    limb = not_negative("limb stiffness", limb_n_mm, "N/mm")
    return plain(not_negative("load", rigid_n, "N") / (1.0 + limb / soil))


def settled_mm(law: SettlementLaw, years: Floats) -> Floats:
    """Return the settlement a law says, years since the load came on. [mm]"""
    t = positive("years", years, "y")
    clock = np.log10(t) if law.shape is Shape.LOGARITHM else t
    return plain(law.start_mm + law.pace_mm * clock)


def fit_settlement(years: Array, settled_mm: Array) -> SettlementLaw:
    """Return the law of a run of readings, years since the load came on.

    The logarithm is used only with four readings or more over a full log cycle, when
    it fits clearly better than the line and the newest step is not faster than it
    says. Otherwise the line, which is the safe side for slowing ground.
    """
    t, s = positive("years", years, "y"), finite("settlement", settled_mm, "mm")
    if t.size < 2 or np.unique(t).size < 2:
        raise InsufficientData("Two settlement readings at different ages are needed.")
    order = np.argsort(t)
    t, s = t[order], s[order]
    line = _fitted(t, s, Shape.LINE, "safe side: ")
    if t.size < 4 or t[-1] < 10.0 * t[0]:
        return _because(line, "fewer than four readings over a full log cycle")
    slow = _fitted(np.log10(t), s, Shape.LOGARITHM, "")
    if slow.residual_mm > 0.8 * line.residual_mm:
        return _because(line, "the logarithm does not fit clearly better")
    newest = slow.pace_mm * np.log10(t[-1] / t[-2])
    if s[-1] - s[-2] > newest + 2.0 * slow.residual_mm + 1e-9:
        return _because(line, "the newest step is faster than the logarithm says")
    return _because(slow, "readings slow down as the logarithm does")


def _fitted(clock: Array, s: Array, shape: Shape, reason: str) -> SettlementLaw:
    pace, start = np.polyfit(clock, s, 1)
    left = s - start - pace * clock
    spread = float(np.sqrt((left**2).sum() / max(s.size - 2, 1)))
    return SettlementLaw(shape, float(start), float(pace), spread, reason)


def _because(law: SettlementLaw, reason: str) -> SettlementLaw:
    return SettlementLaw(
        law.shape, law.start_mm, law.pace_mm, law.residual_mm, law.reason + reason
    )


def _left(load_n: Floats, stiffness_n_mm: Floats, settled_mm: Floats) -> Array:
    load = not_negative("load", load_n, "N")
    return load - positive("limb stiffness", stiffness_n_mm, "N/mm") * finite(
        "settlement", settled_mm, "mm"
    )
