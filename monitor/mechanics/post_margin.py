"""The margin of posts over the years: tube with lean, screw and footing, by AISC ASD.

References
----------
.. [1] ANSI/AISC 360-22 E3, H1.1, appendix 8 (see `columns_aisc`). A wall too thin for
   its width gets the yield strength at which table B4.1a would just count it in full
   (reduced-yield method, derived; the safe side of E7).
.. [2] Restraint by statics (see `lean`); footing pressure (see `footing`).
"""

from dataclasses import dataclass

import numpy as np

from monitor.mechanics import columns_aisc as aisc
from monitor.mechanics.footing import Plate, edge_pressures_kpa
from monitor.mechanics.guard import Array
from monitor.mechanics.lean import STEEP_MM_M, own_weight_free_nmm
from monitor.mechanics.margin import (
    MOST_USE,
    Course,
    Ends,
    Margin,
    Verdicts,
    largest,
    margin_of,
)
from monitor.mechanics.posts import (
    MOST_SLENDER,
    REFUSALS,
    TOO_SLENDER_BIT,
    Posts,
    harmless,
    harmless_course,
    missing_facts,
    refused_posts,
)
from monitor.mechanics.screening import Z90
from monitor.mechanics.screw import screw_allowable_n
from monitor.mechanics.sections import (
    RoundTube,
    Section,
    aisc_box,
    box_less_outside,
    box_section,
    round_less_outside,
    round_section,
    weight_kg_m,
)

METHOD = f"{aisc.ASD}; screw by E3; footing as rigid plate without tension"
PARTS = ("tube", "screw", "footing")
SCREW_YIELD_MPA = 250.0
ASSUMED = (
    "Metal is lost evenly from the outside.",
    "Corners of a box tube are those of the AISC tables.",
    "A held post stands centred on its plate; a free one loads it by its whole lean.",
    f"The screw yields at {SCREW_YIELD_MPA:g} MPa and takes no side thrust.",
    "Saddle, welds, pins and anchors are not in this number; they often govern.",
)
_THINNEST_MM = 0.2
_HELD_K, _FREE_K = 1.0, 2.1
_BLOCK = 4096  # rows worked on at a time, small enough for the processor's own memory


@dataclass(frozen=True, slots=True, eq=False)
class _Strength:
    """What posts can do at one state of their walls; rows by years."""

    axial_n: Array
    moment_nmm: Array
    euler_n: Array
    weight_kg_m: Array
    slenderness: Array


def post_margin(posts: Posts, course: Course) -> Margin:
    """Return the use of strength of many posts over the years.

    Refused members get NaN and their reasons; nothing is assumed in silence.
    """
    refused = refused_posts(posts, course)
    struck = refused != 0
    sound, ways = harmless(posts, struck), harmless_course(course, struck)
    count, shape = refused.size, course.load_n.shape
    each = np.empty((len(PARTS), *shape))
    ends = Ends(np.empty((3, *shape)), np.empty((3, *shape)))
    for start in range(0, count, _BLOCK):
        rows = slice(start, min(start + _BLOCK, count))
        block, way = _rows(sound, rows), _course_rows(ways, rows)
        now = _strength(block, way.loss_mm)
        each[:, rows] = _uses(block, now, way.tilt_mm_m, way.load_n)
        ends.worse[:, rows] = _at_bounds(block, way, now, Z90)
        ends.better[:, rows] = _at_bounds(block, way, now, -Z90)
        slender = now.slenderness[:, 0]
        refused[rows] |= np.where(slender > MOST_SLENDER, TOO_SLENDER_BIT, 0)
    verdicts = Verdicts(
        method=METHOD,
        assumed=ASSUMED,
        missing=missing_facts(posts),
        parts=PARTS,
        refused=refused,
        refusals=REFUSALS,
    )
    return margin_of(course.years, each, ends, verdicts)


def _at_bounds(posts: Posts, way: Course, now: _Strength, z: float) -> Array:
    """Return the largest use with loss, load and lean in turn at a bound."""
    loss = np.maximum(way.loss_mm + z * way.loss_sd_mm, 0.0)
    load = way.load_n * np.exp(z * way.load_log_sd)[:, np.newaxis]
    tilt = np.clip(way.tilt_mm_m + z * way.tilt_sd_mm_m, 0.0, STEEP_MM_M)
    turns = (
        _uses(posts, _strength(posts, loss), way.tilt_mm_m, way.load_n),
        _uses(posts, now, way.tilt_mm_m, load),
        _uses(posts, now, tilt, way.load_n),
    )
    return np.array([largest(uses) for uses in turns])


def _strength(posts: Posts, loss_mm: Array) -> _Strength:
    section = _sections(posts, loss_mm)
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
    return _Strength(
        np.asarray(nominal) / aisc.OMEGA,
        np.asarray(moment) / aisc.OMEGA,
        np.asarray(aisc.euler_n(section.inertia_mm4, effective)),
        np.asarray(weight_kg_m(section.area_mm2)),
        slenderness,
    )


def _sections(posts: Posts, loss_mm: Array) -> Section:
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


def _uses(posts: Posts, can: _Strength, tilt_mm_m: Array, load_n: Array) -> Array:
    """Return the use of tube, screw and footing, stacked."""
    slope = tilt_mm_m / 1000.0
    stretch = np.sqrt(1.0 + slope**2)  # 1 / cos of the lean
    axial = load_n * stretch
    free = posts.is_free[:, np.newaxis]
    height = posts.height_mm[:, np.newaxis]
    sway = np.minimum(
        np.asarray(aisc.amplifier(axial, can.euler_n, aisc.ASD_ALPHA)), 1e6
    )
    lever = posts.eccentricity_mm[:, np.newaxis] + np.where(free, slope * height, 0.0)
    swayed = np.where(free, sway, np.maximum(0.6 * sway, 1.0)) * lever
    own = np.asarray(own_weight_free_nmm(can.weight_kg_m, height, tilt_mm_m))
    moment = axial * swayed + sway * own * np.where(free, 1.0, 0.25)
    tube = aisc.interaction(axial / can.axial_n, moment / can.moment_nmm)
    footing = _footing_use(posts, load_n, np.where(free, swayed, 0.0))
    each: Array = np.array((tube, axial / _screw_n(posts), footing))
    return np.minimum(each, MOST_USE)


def _screw_n(posts: Posts) -> Array:
    """Return what the screws may carry, NaN where there is none. [N]"""
    there = (posts.screw_root_mm > 0.0) & (posts.screw_exposed_mm > 0.0)
    allowed = np.full(there.shape, np.nan)
    if there.any():
        allowed[there] = screw_allowable_n(
            posts.screw_root_mm[there], posts.screw_exposed_mm[there], SCREW_YIELD_MPA
        )
    return allowed[:, np.newaxis]


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


def _rows(posts: Posts, rows: slice) -> Posts:
    return Posts(
        posts.width_mm[rows],
        posts.depth_mm[rows],
        posts.wall_mm[rows],
        posts.is_round[rows],
        posts.height_mm[rows],
        posts.yield_mpa[rows],
        posts.is_free[rows],
        posts.eccentricity_mm[rows],
        posts.screw_root_mm[rows],
        posts.screw_exposed_mm[rows],
        posts.plate_mm[rows],
        posts.presumed_kpa[rows],
    )


def _course_rows(way: Course, rows: slice) -> Course:
    return Course(
        way.years,
        way.loss_mm[rows],
        way.loss_sd_mm[rows],
        way.load_n[rows],
        way.load_log_sd[rows],
        way.tilt_mm_m[rows],
        way.tilt_sd_mm_m[rows],
    )
