"""The margin of cables over the years: working strength, less broken wires and rust.

References
----------
.. [1] ASTM A475 breaking strengths over a working factor (see `cables`).
"""

from dataclasses import dataclass
from functools import partial

import numpy as np

from monitor.mechanics.guard import Array
from monitor.mechanics.margin import (
    MOST_USE,
    Course,
    Margin,
    Verdicts,
    flags,
    margin_of,
    outside,
)
from monitor.mechanics.tie_course import (
    Bits,
    ends_of,
    kept,
    load_is_missing,
    loss_is_missing,
    ways_of,
)

METHOD = "breaking strength over working factor, less broken wires and rust"
PARTS = ("strand", "anchor")
THICKEST_MM = 100.0  # a rod is a strand of one wire
REFUSALS = (
    "Breaking strength or working factor is missing; needed: size and grade of the "
    "strand, and a factor from 1 to 12.",
    "Wire diameter is missing or impossible; needed in mm.",
    "Share of whole wires is missing; needed: a count of broken wires.",
    "Pull is missing; needed: the force the cable must hold, in newtons.",
    "Loss of metal is missing; needed: category of the air or a measured diameter.",
)
ASSUMED = (
    "Every wire rusts alike, all round.",
    "Terminations hold as much as the strand.",
)


@dataclass(frozen=True, slots=True, eq=False)
class Cables:
    """Facts of many cables, one row a cable; NaN where not known.

    Parameters
    ----------
    breaking_n : of the strand as new, by size and grade [N]
    working_factor : breaking over working load that must be kept
    wire_mm : diameter of one wire as new; a third of a 7-wire strand [mm]
    whole_share : share of wires not broken
    anchor_n : allowable load of the weaker anchor; NaN where not known [N]
    """

    breaking_n: Array
    working_factor: Array
    wire_mm: Array
    whole_share: Array
    anchor_n: Array


def cable_margin(cables: Cables, course: Course) -> Margin:
    """Return the use of the working strength of many cables over the years.

    The course gives pull and metal lost from the face of a wire; lean plays no part.
    """
    refused = _refused(cables, course)
    sound, ways = _harmless(cables, refused), ways_of(course, refused)
    each = _uses(sound, ways.loss_mm, ways.load_n)
    ends = ends_of(ways, partial(_uses, sound))
    unknown = np.isnan(cables.anchor_n).any()
    verdicts = Verdicts(
        method=METHOD,
        assumed=ASSUMED,
        missing=("Strength of the anchors is not recorded.",) if unknown else (),
        parts=PARTS,
        refused=refused,
        refusals=REFUSALS,
    )
    return margin_of(course.years, each, ends, verdicts)


def _uses(cables: Cables, loss_mm: Array, pull_n: Array) -> Array:
    left = np.maximum(1.0 - 2.0 * loss_mm / cables.wire_mm[:, np.newaxis], 0.0) ** 2
    working = cables.breaking_n * cables.whole_share / cables.working_factor
    strength = np.maximum(working[:, np.newaxis] * left, 1e-6)
    each: Array = np.array((pull_n / strength, pull_n / cables.anchor_n[:, np.newaxis]))
    return np.minimum(each, MOST_USE)


def _refused(cables: Cables, course: Course) -> Bits:
    return flags(
        (
            outside(cables.breaking_n, 100.0, 1e7)
            | outside(cables.working_factor, 1.0, 12.0),
            outside(cables.wire_mm, 0.2, THICKEST_MM),
            outside(cables.whole_share, 0.0, 1.0),
            load_is_missing(course),
            loss_is_missing(course),
        )
    )


def _harmless(cables: Cables, refused: Bits) -> Cables:
    """Return the cables with stand-ins in refused rows."""
    return Cables(
        kept(cables.breaking_n, refused, 1e4),
        kept(cables.working_factor, refused, 5.0),
        kept(cables.wire_mm, refused, 2.0),
        kept(cables.whole_share, refused, 1.0),
        cables.anchor_n,
    )
