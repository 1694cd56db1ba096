"""Print how long the margins of a whole fleet take, by both methods, and against what.

The same functions asked one member at a time are the yardstick, on a sample; the sum
of the same arrays is the floor. Run with `ops/bench margins`.
"""

import argparse
import sys
import time
from collections.abc import Callable
from typing import TypeVar

import numpy as np

from monitor.mechanics.guard import Array
from monitor.mechanics.margin import (
    HORIZON_YEARS,
    Course,
    Margin,
    load_course,
    loss_course,
    tilt_course,
)
from monitor.mechanics.post_asd import ASD
from monitor.mechanics.post_ec3 import EC3
from monitor.mechanics.post_margin import post_margin
from monitor.mechanics.posts import Posts
from monitor.mechanics.wall import WallPrior, WallReadings, WallState, update_wall

T = TypeVar("T")
World = tuple[Posts, WallPrior, WallReadings, Array, Array, Array]
"""Posts, belief and readings of their walls, bare years, loads, leans."""
READINGS = 4
"""Thickness readings of each post."""


def main() -> None:
    """Time the fleet, the loop and the floor, and print the ratios."""
    parser = argparse.ArgumentParser(prog="bench margins", description=__doc__)
    parser.add_argument("--members", type=int, default=100_000)
    parser.add_argument("--loop", type=int, default=300, help="members in the loop")
    parser.add_argument("--seed", type=int, default=7)
    given = parser.parse_args()
    rng = np.random.default_rng(given.seed)
    world = invented(rng, given.members)
    busy = time.process_time()
    both, whole_s = timed(lambda: fleet_margins(*world))
    busy = time.process_time() - busy
    few = rng.choice(given.members, min(given.loop, given.members), replace=False)
    singles, loop_s = timed(lambda: [fleet_margins(*one(world, n)) for n in few])
    floor, floor_s = timed(lambda: sum(float(np.nansum(a)) for a in arrays(world)))
    apart = max(
        float(np.nanmax(np.abs(alone.use[0] - whole.use[n]), initial=0.0))
        for single, n in zip(singles, few, strict=True)
        for alone, whole in zip(single, both, strict=True)
    )
    looped_s = loop_s / len(few) * given.members
    lines = (
        f"{given.members} posts, {both[0].years.size} years each, by {len(both)} "
        f"methods, {int((both[0].refused != 0).sum())} refused: {whole_s:.2f} s, "
        f"{busy:.2f} s of processor",
        f"one at a time, {len(few)} posts: {loop_s:.2f} s, so {looped_s:.0f} s for "
        f"all; {looped_s / whole_s:.0f} times as long",
        f"largest difference between the two: {apart:.1e}",
        f"floor, the sum of the same arrays: {1000.0 * floor_s:.1f} ms; the margins "
        f"take {whole_s / floor_s:.0f} times that (sum {floor:.6g})",
    )
    sys.stdout.write("\n".join(lines) + "\n")


def timed(work: Callable[[], T]) -> tuple[T, float]:
    """What came out, and the seconds it took."""
    start = time.perf_counter()
    found = work()
    return found, time.perf_counter() - start


def invented(rng: np.random.Generator, count: int) -> World:
    """Posts that never were: half round, half square, a third free to sway."""
    width = rng.choice([88.9, 114.3, 139.7, 168.3], count)
    wall = rng.choice([5.0, 6.3, 8.0], count)
    missing = np.full(count, np.nan)
    posts = Posts(
        width_mm=width,
        depth_mm=width,
        wall_mm=wall,
        is_round=rng.random(count) < 0.5,
        height_mm=rng.uniform(2000.0, 4500.0, count),
        yield_mpa=rng.choice([235.0, 275.0, 355.0], count),
        is_free=rng.random(count) < 0.33,
        eccentricity_mm=np.zeros(count),
        screw_root_mm=np.where(rng.random(count) < 0.3, 34.6, missing),
        screw_exposed_mm=np.full(count, 150.0),
        plate_mm=rng.choice([400.0, 500.0, 600.0], count),
        presumed_kpa=rng.choice([71.8, 95.8, 143.6], count),
    )
    age = rng.uniform(5.0, 60.0, count)
    prior = WallPrior(
        wall, 0.04 * wall, np.full(count, 60.0), np.full(count, 20.0),
        np.full(count, 0.523),
    )  # fmt: skip
    on = np.sort(rng.uniform(0.0, 1.0, (count, READINGS)), axis=1) * age[:, np.newaxis]
    read = wall[:, np.newaxis] - 0.02 * on + rng.normal(0.0, 0.14, on.shape)
    readings = WallReadings(on, read, np.full((count, READINGS), 0.14))
    return posts, prior, readings, age, rng.uniform(2e3, 2e4, count), tilts(rng, count)


def tilts(rng: np.random.Generator, count: int) -> Array:
    """Lean today and its yearly change. [mm/m]"""
    return np.array((rng.gamma(2.0, 1.0, count), rng.normal(0.05, 0.1, count)))


def fleet_margins(  # noqa: PLR0913 - the parts of a world, in their order
    posts: Posts,
    prior: WallPrior,
    readings: WallReadings,
    age: Array,
    load_n: Array,
    lean: Array,
) -> tuple[Margin, ...]:
    """Walls from their readings, the course of everything, then the margins."""
    state: WallState = update_wall(prior, readings)
    loss = loss_course(state, age, state.wall_mm, HORIZON_YEARS)
    load = load_course(load_n, 450.0, 2.0, HORIZON_YEARS)
    course = Course(
        HORIZON_YEARS,
        *loss,
        load,
        np.full(load_n.shape, 0.25),
        *tilt_course((lean[0], 0.3), (lean[1], 0.05), HORIZON_YEARS),
    )
    return tuple(post_margin(posts, course, code) for code in (ASD, EC3))


def one(world: World, n: int) -> World:
    """The world of a single member."""
    posts, prior, readings, age, load_n, lean = world
    row = slice(n, n + 1)
    return (
        Posts(*(getattr(posts, name)[row] for name in Posts.__slots__)),
        WallPrior(*(getattr(prior, name)[row] for name in WallPrior.__slots__)),
        WallReadings(*(getattr(readings, name)[row] for name in _READ)),
        age[row],
        load_n[row],
        lean[:, row],
    )


def arrays(world: World) -> list[Array]:
    """Every array of numbers in a world."""
    posts, prior, readings, *rest = world
    held = [
        getattr(part, name)
        for part in (posts, prior, readings)
        for name in type(part).__slots__
    ]
    return [np.asarray(each, dtype=np.float64) for each in [*held, *rest]]


_READ = WallReadings.__slots__


if __name__ == "__main__":
    main()
