"""Posts and their course, as tests of margins want them."""

import numpy as np

from monitor.mechanics.margin import Course
from monitor.mechanics.posts import Posts
from tests.mechanics.checks.units import INCH, KIP, KSI

TODAY = np.array([0.0])


def posts(count=1, **changed):
    """A 4 x 4 x 1/4 tube of 12 ft, 50 ksi, held, without screw or known footing."""
    facts = {
        "width_mm": 4 * INCH,
        "depth_mm": 4 * INCH,
        "wall_mm": 0.233 * INCH,
        "is_round": False,
        "height_mm": 144 * INCH,
        "yield_mpa": 50 * KSI,
        "is_free": False,
        "eccentricity_mm": 0.0,
        "screw_root_mm": np.nan,
        "screw_exposed_mm": np.nan,
        "plate_mm": np.nan,
        "presumed_kpa": np.nan,
    } | changed
    return Posts(**{name: np.full(count, value) for name, value in facts.items()})


def course(count=1, years=TODAY, **changed):
    """Ten kip, plumb, no loss, nothing uncertain."""
    facts = {
        "loss_mm": 0.0,
        "loss_sd_mm": 0.0,
        "load_n": 10 * KIP,
        "tilt_mm_m": 0.0,
        "tilt_sd_mm_m": 0.0,
    } | changed
    spread = np.full(count, facts.pop("load_log_sd", 0.0))
    table = {name: np.full((count, years.size), v) for name, v in facts.items()}
    return Course(years=years, load_log_sd=spread, **table)
