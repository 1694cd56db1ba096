"""Posts by Eurocode 3: tube with lean and screw, design loads against resistance.

References
----------
.. [1] EN 1993-1-1:2005, 6.3.1 (see `columns_ec3`), 6.3.3 equation 6.61 with annex B,
   table B.1 for hollow sections and B.3, and classes of table 5.2; from memory. A wall
   of class 4 gets the yield strength at which it would just be of class 3 (derived).
.. [2] EN 1990 table A1.2(B), 1.35 on permanent load; recommended factors of the
   standards (from memory). A national annex may say otherwise.
"""

from dataclasses import dataclass

import numpy as np

from monitor.mechanics import columns_ec3 as ec3
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
from monitor.mechanics.sections import weight_kg_m

GAMMA_G, GAMMA_M1 = 1.35, 1.0
_HELD_K, _FREE_K = 1.0, 2.0
_SWAY_CM, _END_CM, _SPREAD_CM = 0.9, 0.6, 0.95  # table B.3


@dataclass(frozen=True, slots=True, eq=False)
class ResistingPosts:
    """What posts resist of design load at one state of their walls.

    Parameters
    ----------
    relative : relative slenderness
    is_plastic : whether the wall is stocky enough to bend plastically
    """

    posts: Posts
    axial_n: Array
    moment_nmm: Array
    relative: Array
    is_plastic: Array
    weight_kg_m: Array
    slenderness: Array

    def uses(self, tilt_mm_m: Array, load_n: Array) -> Array:
        """Return the use of tube and screw, stacked."""
        posts, slope = self.posts, tilt_mm_m / 1000.0
        axial = GAMMA_G * load_n * np.sqrt(1.0 + slope**2)
        free = posts.is_free[:, np.newaxis]
        height = posts.height_mm[:, np.newaxis]
        off = np.where(free, slope * height, 0.0)
        lever = posts.eccentricity_mm[:, np.newaxis] + off
        own = np.asarray(own_weight_free_nmm(self.weight_kg_m, height, tilt_mm_m))
        from_load = axial * lever * np.where(free, _SWAY_CM, _END_CM)
        from_weight = own * np.where(free, _SWAY_CM, 0.25 * _SPREAD_CM)
        share = axial / self.axial_n
        moment = (from_load + GAMMA_G * from_weight) * self._grown(share)
        tube = share + moment / self.moment_nmm
        each: Array = np.array((tube, axial / screws_n(posts, _screw_n)))
        return np.minimum(each, MOST_USE)

    def _grown(self, share: Array) -> Array:
        """Return k of table B.1 without its moment factor."""
        plastic = 1.0 + np.minimum(self.relative - 0.2, 0.8) * share
        elastic = 1.0 + 0.6 * np.minimum(self.relative, 1.0) * share
        return np.where(self.is_plastic, np.maximum(plastic, 1.0), elastic)


def resisting_posts(posts: Posts, loss_mm: Array) -> ResistingPosts:
    """Return what posts resist after so much loss of metal."""
    section = sections_of(posts, loss_mm)
    thin = np.maximum(np.asarray(section.slenderness), 1.0)
    is_round = posts.is_round[:, np.newaxis]
    counted = 235.0 * np.where(is_round, 90.0 / thin, (42.0 / thin) ** 2)
    fy = np.minimum(posts.yield_mpa[:, np.newaxis], counted)
    epsilon2 = 235.0 / fy
    is_plastic = thin <= np.where(is_round, 70.0 * epsilon2, 38.0 * np.sqrt(epsilon2))
    factor = np.where(posts.is_free, _FREE_K, _HELD_K)
    buckling = (factor * posts.height_mm)[:, np.newaxis]
    squash = fy * section.area_mm2
    elastic = ec3.elastic_load_n(section.inertia_mm4, buckling)
    relative = np.asarray(ec3.relative_slenderness(squash, elastic))
    chi = np.asarray(ec3.reduction(relative, ec3.Curve.C))
    modulus = np.where(is_plastic, section.plastic_mm3, section.elastic_mm3)
    return ResistingPosts(
        posts,
        chi * squash / GAMMA_M1,
        fy * modulus / GAMMA_M1,
        relative,
        is_plastic,
        np.asarray(weight_kg_m(section.area_mm2)),
        buckling / np.asarray(section.radius_mm),
    )


EC3 = PostCode(
    method="design resistance (EN 1993-1-1), tube by 6.3.1 and 6.3.3, screw by 6.3.1",
    parts=("tube", "screw"),
    assumed=(
        *SAID_OF_ALL,
        f"Load and own weight are permanent and count {GAMMA_G:g} times; resistance is "
        f"divided by {GAMMA_M1:g} (EN 1990, EN 1993-1-1, recommended factors).",
        "The tube is cold formed (curve c); a free post buckles at twice its height.",
        f"The screw yields at {SCREW_YIELD_MPA:g} MPa and takes no side thrust.",
        "The footing is judged by the other method alone.",
    ),
    able=resisting_posts,
)


def _screw_n(root_mm: Array, exposed_mm: Array) -> Array:
    """Return the resistance of a screw as a mast, solid round, curve c. [N]"""
    squash = np.pi / 4.0 * root_mm**2 * SCREW_YIELD_MPA
    inertia = np.pi / 64.0 * root_mm**4
    elastic = ec3.elastic_load_n(inertia, 2.0 * exposed_mm)
    relative = ec3.relative_slenderness(squash, elastic)
    return np.asarray(ec3.reduction(relative, ec3.Curve.C)) * squash / GAMMA_M1
