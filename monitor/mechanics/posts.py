"""As-built facts of many posts, and who of them can not be worked out."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from monitor.mechanics.guard import Array
from monitor.mechanics.lean import STEEP_MM_M
from monitor.mechanics.margin import Course, flags, outside

REFUSALS = (
    "Width, depth or wall as new is missing or impossible; needed in millimetres "
    "(20 to 1000 and 1 to 60).",
    "Height is missing or impossible; needed: plate to saddle, 300 to 30 000 mm.",
    "Yield strength is missing or impossible; needed: the steel grade, 150 to 700 MPa.",
    "Load is missing or impossible; needed: the limb measured and weighed, in newtons.",
    "Lean is missing or beyond 15 degrees; needed in mm/m.",
    "Loss of wall is missing, or the wall would be thicker than new; needed: a reading "
    "on clean steel and the wall as new.",
    "Slenderness is beyond 300; check length, size and their units.",
)
MOST_SLENDER = 300.0
TOO_SLENDER_BIT = 1 << 6  # found only once the section is known


@dataclass(frozen=True, slots=True, eq=False)
class Posts:
    """As-built facts, one row a post; NaN where not known.

    Parameters
    ----------
    width_mm, depth_mm, wall_mm : outside and wall as new (design wall) [mm]
    is_round : a round tube; its width is the diameter, its depth is ignored
    height_mm : plate to saddle [mm]
    yield_mpa : of the tube [MPa]
    is_free : free to sway; where it is not recorded take True, the safe side
    eccentricity_mm : of the load in the saddle; NaN counts as 0 and is said [mm]
    screw_root_mm, screw_exposed_mm : NaN where there is no screw [mm]
    plate_mm : side of a square plate or pad; NaN where not known [mm]
    presumed_kpa : allowable pressure of the soil; NaN where not known [kPa]
    """

    width_mm: Array
    depth_mm: Array
    wall_mm: Array
    is_round: NDArray[np.bool_]
    height_mm: Array
    yield_mpa: Array
    is_free: NDArray[np.bool_]
    eccentricity_mm: Array
    screw_root_mm: Array
    screw_exposed_mm: Array
    plate_mm: Array
    presumed_kpa: Array


def refused_posts(posts: Posts, course: Course) -> NDArray[np.int64]:
    """Return why a post can not be worked out, as bits of `REFUSALS`; 0 is none."""
    least = np.where(
        posts.is_round, posts.width_mm, np.minimum(posts.width_mm, posts.depth_mm)
    )
    size = outside(posts.width_mm, 20.0, 1000.0) | outside(least, 20.0, 1000.0)
    wall = outside(posts.wall_mm, 1.0, 60.0) | ~(2.0 * posts.wall_mm < least)
    grown = -3.0 * course.loss_sd_mm[:, 0] - 0.02 * posts.wall_mm
    loss = outside(course.loss_mm, -60.0, 1000.0) | outside(course.loss_sd_mm, 0.0, 1e3)
    return flags(
        (
            size | wall,
            outside(posts.height_mm, 300.0, 30_000.0),
            outside(posts.yield_mpa, 150.0, 700.0),
            outside(course.load_n, 1.0, 1e7) | outside(course.load_log_sd, 0.0, 2.0),
            outside(course.tilt_mm_m, 0.0, STEEP_MM_M)
            | outside(course.tilt_sd_mm_m, 0.0, STEEP_MM_M),
            loss | (course.loss_mm[:, 0] < grown),
        )
    )


def harmless(posts: Posts, refused: NDArray[np.bool_]) -> Posts:
    """Return the posts with stand-ins in refused rows, whose answers are struck out."""
    return Posts(
        np.where(refused, 100.0, posts.width_mm),
        np.where(refused | posts.is_round, 100.0, posts.depth_mm),
        np.where(refused, 5.0, posts.wall_mm),
        posts.is_round,
        np.where(refused, 2000.0, posts.height_mm),
        np.where(refused, 250.0, posts.yield_mpa),
        posts.is_free,
        np.nan_to_num(np.maximum(posts.eccentricity_mm, 0.0)),
        posts.screw_root_mm,
        posts.screw_exposed_mm,
        posts.plate_mm,
        posts.presumed_kpa,
    )


def harmless_course(course: Course, refused: NDArray[np.bool_]) -> Course:
    """Return the course with stand-ins in refused rows."""
    row = refused[:, np.newaxis]
    return Course(
        course.years,
        np.where(row, 0.0, np.maximum(course.loss_mm, 0.0)),
        np.where(row, 0.0, course.loss_sd_mm),
        np.where(row, 1000.0, course.load_n),
        np.where(refused, 0.0, course.load_log_sd),
        np.where(row, 0.0, course.tilt_mm_m),
        np.where(row, 0.0, course.tilt_sd_mm_m),
    )


def missing_facts(posts: Posts) -> tuple[str, ...]:
    """Return what is not recorded and would sharpen the answer, in sentences."""
    found: tuple[str, ...] = ()
    if np.isnan(posts.eccentricity_mm).any():
        found += ("Eccentricity in the saddle is not recorded; 0 mm was taken.",)
    if (np.isnan(posts.plate_mm) | np.isnan(posts.presumed_kpa)).any():
        found += ("Plate or soil is not recorded; the footing is not in the number.",)
    if (np.isnan(posts.screw_root_mm) != np.isnan(posts.screw_exposed_mm)).any():
        found += ("A screw without root or exposed length is not in the number.",)
    return found
