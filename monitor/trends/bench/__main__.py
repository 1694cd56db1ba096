"""Print how the analysis does: calibration, alarms, delays, policy, speed.

Every run draws fresh seeds and prints the one it used.
"""

import argparse
import secrets
import sys
import warnings
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from monitor.trends.bench.alarms import alarms, late_delay, least_delay, steps_found
from monitor.trends.bench.calibration import COUNTS, cell, trained
from monitor.trends.bench.policy import policy
from monitor.trends.bench.speed import memory_ratio, timings
from monitor.trends.bench.worlds import IDEAL, REAL, WORLDS


def main() -> None:
    """Run the chosen parts and print one line at a time."""
    parser = argparse.ArgumentParser(prog="bench trends", description=__doc__)
    parser.add_argument("--seed", type=int, default=secrets.randbits(32))
    parser.add_argument("--series", type=int, default=2000, help="series in each cell")
    parser.add_argument("--speed-series", type=int, default=100_000)
    parser.add_argument("--only", nargs="*", choices=list(_PARTS), default=list(_PARTS))
    given = parser.parse_args()
    _say(f"seed {given.seed}; figures hold for these invented worlds only")
    for name in given.only:
        _say(f"\n== {name}")
        for line in _PARTS[name](given, np.random.default_rng(given.seed)):
            _say(line)


def _say(text: str) -> None:
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def _calibration(given: argparse.Namespace, rng: np.random.Generator) -> Iterator[str]:
    yield "goal: next .88-.93, rate .88-.97, early <= .05"
    yield "goal: vs OLS <= .25, .55, .65 at n = 3, 5, 10 in the real world"
    yield "world           n   next   rate  early  score  vs OLS"
    for world in WORLDS:
        hyper = trained(world, rng)
        for n in COUNTS:
            c = cell(world, n, hyper, rng, given.series)
            yield (
                f"{world:14s} {n:2d}  {c.next_held:.3f}  {c.rate_held:.3f}"
                f"  {c.early:.3f}  {c.score:5.2f}  {c.score / c.ols_score:.2f}"
            )


def _small(given: argparse.Namespace, rng: np.random.Generator) -> Iterator[str]:
    yield "goal: next >= .88 at every n with 15 series to learn from (mean of 6 fleets)"
    hypers = [trained("real", rng, 15) for _ in range(6)]
    for n in COUNTS:
        cells = [cell("real", n, hyper, rng, given.series // 4) for hyper in hypers]
        held = np.mean([c.next_held for c in cells])
        early = np.mean([c.early for c in cells])
        yield f"{n:2d}  {held:.3f}  early {early:.3f}"


def _alarms(given: argparse.Namespace, rng: np.random.Generator) -> Iterator[str]:
    yield "goal: E>20 ever in 20 yr <= .015 clean, <= .05 dirty"
    yield "goal: median delay 1 mm/yr <= 3 yr, 0.2 mm/yr <= 9 yr"
    yield "(in brackets: the delay of one who knows rate, onset and noise exactly)"
    for name, world in (("ideal", IDEAL), ("real", REAL)):
        found = alarms(name, world, trained(name, rng), rng)
        delays = "  ".join(
            f"{rate} mm/yr {years:.1f} ({least_delay(world, rate, 0.0, rng):.1f}) yr"
            for rate, years in found.delays.items()
        )
        yield (
            f"{name:6s} E>20 {found.false_20:.3f}  E>100 {found.false_100:.3f}  "
            f"jump {found.false_step:.3f}  delays: {delays}"
        )
    calm, dirty = trained("ideal", rng), trained("real", rng)
    clean_delay = late_delay(IDEAL, calm, rng)
    dirty_delay = late_delay(REAL, dirty, rng)
    best = [least_delay(world, 1.0, 10.0, rng) for world in (IDEAL, REAL)]
    yield (
        "late onset of 1 mm/yr after 10 calm years (goal <= 2.5 yr): "
        f"clean {clean_delay:.1f} ({best[0]:.1f}) yr, "
        f"dirty {dirty_delay:.1f} ({best[1]:.1f}) yr"
    )
    for size in (5.0, 8.0):
        shares = " ".join(f"{s:.2f}" for s in steps_found(calm, size, rng))
        yield f"jump of {size:.0f} sd found within 1, 2, 3 readings: {shares}"


def _policy(given: argparse.Namespace, rng: np.random.Generator) -> Iterator[str]:
    yield "goal: missed <= .01 constant, <= .02 late onset, <= 17 visits in 40 yr"
    plain = replace(IDEAL, outliers=0.03, drift_noise=0.15)
    for name, world in (
        ("constant", plain),
        ("late onset", replace(plain, onset_years=25.0)),
    ):
        found = policy(name, world, trained("outlier", rng), rng, given.series)
        yield (
            f"{name:10s} visits {found.visits:.1f} where nobody acts, "
            f"{found.busy_visits:.1f} until action  crossers {found.crossed:.2f}  "
            f"missed {found.missed:.3f}"
        )


def _speed(given: argparse.Namespace, rng: np.random.Generator) -> Iterator[str]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = timings(given.speed_series, rng)
        yield f"peak memory / inputs (goal <= 5): {memory_ratio(rng):.1f}"
    floor, ours = found[0], found[2]
    for timing in found:
        yield (
            f"{timing.name:34s} {timing.seconds:9.4f} s  "
            f"cpu {timing.cpu_seconds:9.4f} s  {timing.each_us:10.3f} us each"
            f"  {timing.each_us / floor.each_us:10.0f} x floor"
            f"  {timing.each_us / ours.each_us:8.1f} x full answer"
            f"  {timing.each_us / found[1].each_us:8.1f} x filter"
        )


_PARTS = {
    "calibration": _calibration,
    "small fleet": _small,
    "alarms": _alarms,
    "policy": _policy,
    "speed": _speed,
}

if __name__ == "__main__":
    main()
