"""The margin of posts over the years, by one published method at a time."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import fields

import numpy as np

from monitor.mechanics.guard import Array
from monitor.mechanics.lean import STEEP_MM_M
from monitor.mechanics.margin import (
    Course,
    Ends,
    Margin,
    Verdicts,
    largest,
    margin_of,
)
from monitor.mechanics.post_code import Able, PostCode
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

_THREADS = 2
_BLOCK = 8192  # rows worked on at a time: larger ones leave the processor's memory


def post_margin(posts: Posts, course: Course, code: PostCode) -> Margin:
    """Return the use of strength of many posts over the years.

    Refused members get NaN and their reasons; nothing is assumed in silence.
    """
    refused = refused_posts(posts, course)
    struck = refused != 0
    sound, ways = harmless(posts, struck), harmless_course(course, struck)
    count, shape = refused.size, course.load_n.shape
    each = np.empty((len(code.parts), *shape))
    ends = Ends(np.empty((3, *shape)), np.empty((3, *shape)))

    def work(start: int) -> None:
        rows = slice(start, min(start + _BLOCK, count))
        block, way = _rows(sound, rows), _course_rows(ways, rows)
        now = code.able(block, way.loss_mm)
        each[:, rows] = now.uses(way.tilt_mm_m, way.load_n)
        for end, z in ((ends.worse, Z90), (ends.better, -Z90)):
            worn = code.able(block, np.maximum(way.loss_mm + z * way.loss_sd_mm, 0.0))
            end[:, rows] = _at_bounds(way, (now, worn), z)
        slender = now.slenderness[:, 0]
        refused[rows] |= np.where(slender > MOST_SLENDER, TOO_SLENDER_BIT, 0)

    with ThreadPoolExecutor(_THREADS) as pool:  # numpy lets threads run
        list(pool.map(work, range(0, count, _BLOCK)))
    verdicts = Verdicts(
        method=code.method,
        assumed=code.assumed,
        missing=missing_facts(posts),
        parts=code.parts,
        refused=refused,
        refusals=REFUSALS,
    )
    return margin_of(course.years, each, ends, verdicts)


def _at_bounds(way: Course, able: tuple[Able, Able], z: float) -> Array:
    """Return the largest use with loss, load and lean in turn at a bound."""
    now, worn = able
    load = way.load_n * np.exp(z * way.load_log_sd)[:, np.newaxis]
    tilt = np.clip(way.tilt_mm_m + z * way.tilt_sd_mm_m, 0.0, STEEP_MM_M)
    turns = (
        worn.uses(way.tilt_mm_m, way.load_n),
        now.uses(way.tilt_mm_m, load),
        now.uses(tilt, way.load_n),
    )
    return np.array([largest(uses) for uses in turns])


def _rows(posts: Posts, rows: slice) -> Posts:
    return Posts(*(getattr(posts, field.name)[rows] for field in fields(Posts)))


def _course_rows(way: Course, rows: slice) -> Course:
    cut = (getattr(way, field.name)[rows] for field in fields(Course)[1:])
    return Course(way.years, *cut)
