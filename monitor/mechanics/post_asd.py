"""Posts by AISC 360 in allowable strength: tube with lean, screw and footing.

References
----------
.. [1] ANSI/AISC 360-22 E3, H1.1, appendix 8 (see `columns_aisc`); the larger of E3
   alone and H1.1 is told, for H1-1b counts a small axial load by half. A wall too thin
   for its width gets the yield strength at which table B4.1a would just count it in
   full (reduced-yield method, derived; the safe side of E7).
.. [2] Restraint by statics (see `lean`); footing pressure (see `footing`).
"""

from dataclasses import dataclass

import numpy as np

from monitor.mechanics import columns_aisc as aisc
from monitor.mechanics.footing import Plate, edge_pressures_kpa
from monitor.mechanics.guard import Array
from monitor.mechanics.lean import own_weight_free_nmm
from monitor.mechanics.margin import MOST_USE
from monitor.mechanics.post_code import (
    SAID_OF_ALL,
    SCREW_YIELD_MPA,
    PostCode,
    screws_n,
    sections_of,
)
from monitor.mechanics.posts import Posts
from monitor.mechanics.screw import screw_allowable_n
from monitor.mechanics.sections import weight_kg_m

_HELD_K, _FREE_K = 1.0, 2.1


@dataclass(frozen=True, slots=True, eq=False)
class AllowablePosts:
    """What posts may carry of service load at one state of their walls."""

    posts: Posts
    axial_n: Array
    moment_nmm: Array
    euler_n: Array
    weight_kg_m: Array
    slenderness: Array

    def uses(self, tilt_mm_m: Array, load_n: Array) -> Array:
        """Return the use of tube, screw and footing, stacked."""
        posts, slope = self.posts, tilt_mm_m / 1000.0
        axial = load_n * np.sqrt(1.0 + slope**2)  # over the cosine of the lean
        free = posts.is_free[:, np.newaxis]
        height = posts.height_mm[:, np.newaxis]
        amplified = aisc.amplifier(axial, self.euler_n, aisc.ASD_ALPHA)
        sway = np.minimum(np.asarray(amplified), 1e6)
        off = np.where(free, slope * height, 0.0)
        lever = posts.eccentricity_mm[:, np.newaxis] + off
        swayed = np.where(free, sway, np.maximum(0.6 * sway, 1.0)) * lever
        own = np.asarray(own_weight_free_nmm(self.weight_kg_m, height, tilt_mm_m))
        moment = axial * swayed + sway * own * np.where(free, 1.0, 0.25)
        share = axial / self.axial_n  # H1-1b halves it; alone it must hold in full
        both = aisc.interaction(share, moment / self.moment_nmm)
        tube = np.maximum(share, both)
        screw = axial / screws_n(posts, _screw_n)
        footing = _footing_use(posts, load_n, np.where(free, swayed, 0.0))
        each: Array = np.array((tube, screw, footing))
        return np.minimum(each, MOST_USE)


def allowable_posts(posts: Posts, loss_mm: Array) -> AllowablePosts:
    """Return what posts may carry after so much loss of metal."""
    section = sections_of(posts, loss_mm)
    thin = np.maximum(np.asarray(section.slenderness), 1.0)
    is_round = posts.is_round[:, np.newaxis]
    counted = aisc.MODULUS_MPA * np.where(is_round, 0.11 / thin, (1.40 / thin) ** 2)
    fy = np.minimum(posts.yield_mpa[:, np.newaxis], counted)
    compact = np.where(
        is_round, aisc.round_compact_limit(fy), aisc.box_compact_limit(fy)
    )
    factor = np.where(posts.is_free, _FREE_K, _HELD_K)
    effective = (factor * posts.height_mm)[:, np.newaxis]
    slenderness = effective / np.asarray(section.radius_mm)
    nominal = aisc.nominal_axial_n(section.area_mm2, slenderness, fy)
    moment = aisc.nominal_moment_nmm(section, fy, compact)
    return AllowablePosts(
        posts,
        np.asarray(nominal) / aisc.OMEGA,
        np.asarray(moment) / aisc.OMEGA,
        np.asarray(aisc.euler_n(section.inertia_mm4, effective)),
        np.asarray(weight_kg_m(section.area_mm2)),
        slenderness,
    )


ASD = PostCode(
    method="allowable strength (AISC 360 ASD), tube by E3 and H1, screw by E3; footing "
    "as rigid plate without tension on presumptive soil (IBC 1806.2)",
    parts=("tube", "screw", "footing"),
    assumed=(
        *SAID_OF_ALL,
        "A held post stands centred on its plate; a free one loads it by its whole "
        "lean.",
        f"The screw yields at {SCREW_YIELD_MPA:g} MPa and takes no side thrust.",
    ),
    able=allowable_posts,
)


def _screw_n(root_mm: Array, exposed_mm: Array) -> Array:
    return np.asarray(screw_allowable_n(root_mm, exposed_mm, SCREW_YIELD_MPA))


def _footing_use(posts: Posts, load_n: Array, off_mm: Array) -> Array:
    """Return the use of the soil, NaN where plate or soil is not known."""
    there = (posts.plate_mm > 0.0) & (posts.presumed_kpa > 0.0)
    out = np.full(load_n.shape, np.nan)
    if there.any():
        side = posts.plate_mm[there, np.newaxis]
        inside = np.minimum(off_mm[there], 0.4999 * side)
        plate = Plate(side, side)
        pressure, _ = edge_pressures_kpa(load_n[there], plate, inside)
        use = np.asarray(pressure) / posts.presumed_kpa[there, np.newaxis]
        out[there] = np.where(off_mm[there] < 0.4999 * side, use, MOST_USE)
    return out
