"""What a published method says of a post, and the sections every method works with."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from monitor.mechanics.guard import Array
from monitor.mechanics.posts import Posts
from monitor.mechanics.sections import (
    RoundTube,
    Section,
    aisc_box,
    box_less_outside,
    box_section,
    round_less_outside,
    round_section,
)

SCREW_YIELD_MPA = 250.0
SAID_OF_ALL = (
    "Metal is lost evenly from the outside.",
    "Corners of a box tube are those of the AISC tables.",
    "Saddle, welds, pins and anchors are not in this number; they often govern.",
)
_THINNEST_MM = 0.2


class Able(Protocol):
    """What posts can do at one state of their walls; rows by years."""

    @property
    def slenderness(self) -> Array:
        """Effective length over the radius of gyration."""

    def uses(self, tilt_mm_m: Array, load_n: Array) -> Array:
        """Return the use of each part under service loads, stacked."""


@dataclass(frozen=True, slots=True)
class PostCode:
    """One published method for posts; two are never mixed in one number.

    Parameters
    ----------
    method : its name in full; the words up to the first comma are its short name
    parts : what it looks at, in the order of `Able.uses`
    assumed : sentences
    able : from posts and metal lost to what they can do
    """

    method: str
    parts: tuple[str, ...]
    assumed: tuple[str, ...]
    able: Callable[[Posts, Array], Able]


def sections_of(posts: Posts, loss_mm: Array) -> Section:
    """Return the sections of a mixed block, box and round tubes each by their own."""
    loss = np.minimum(loss_mm, posts.wall_mm[:, np.newaxis] - _THINNEST_MM)
    out = np.empty((6, *loss.shape))
    boxes, rounds = ~posts.is_round, posts.is_round
    width, depth = posts.width_mm[:, np.newaxis], posts.depth_mm[:, np.newaxis]
    wall = posts.wall_mm[:, np.newaxis]
    if boxes.any():
        new = aisc_box(width[boxes], depth[boxes], wall[boxes])
        out[:, boxes] = _stacked(box_section(box_less_outside(new, loss[boxes])))
    if rounds.any():
        tube = RoundTube(width[rounds], wall[rounds])
        out[:, rounds] = _stacked(round_section(round_less_outside(tube, loss[rounds])))
    return Section(*out)


def screws_n(posts: Posts, strength_n: Callable[[Array, Array], Array]) -> Array:
    """Return what the screws may carry, NaN where there is none. [N]

    Parameters
    ----------
    strength_n : of the method, from root and exposed length [mm, mm]
    """
    there = (posts.screw_root_mm > 0.0) & (posts.screw_exposed_mm > 0.0)
    allowed = np.full(there.shape, np.nan)
    if there.any():
        allowed[there] = strength_n(
            posts.screw_root_mm[there], posts.screw_exposed_mm[there]
        )
    return allowed[:, np.newaxis]


def _stacked(section: Section) -> Array:
    return np.array(
        (
            section.area_mm2,
            section.inertia_mm4,
            section.radius_mm,
            section.elastic_mm3,
            section.plastic_mm3,
            section.slenderness,
        )
    )
