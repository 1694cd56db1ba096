"""Print how true a photograph measures: error by tilt, and what the range covers.

Every run draws fresh seeds and prints the one it used.
"""

import argparse
import secrets
import sys
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from monitor.photogrammetry.bench.trials import (
    AS_IN_THE_FIELD,
    EXACT,
    KNOWN,
    Trial,
    trial,
)

STEPS_DEG = (0, 15, 30, 45)


def main() -> None:
    """Measure invented photographs and print one line a band of tilt."""
    parser = argparse.ArgumentParser(prog="bench photo", description=__doc__)
    parser.add_argument("--seed", type=int, default=secrets.randbits(32))
    parser.add_argument("--views", type=int, default=120, help="of each kind")
    parser.add_argument("--width", type=int, default=3000, help="of a picture [px]")
    given = parser.parse_args()
    _say(f"seed {given.seed}; drawn sheets, no real paper, bark or shade")
    random = np.random.default_rng(given.seed)
    for name, care in (
        ("traced without a hand: markers, lens and tilt alone", EXACT),
        ("sheet in the plane of the opening, a hand of one pixel", KNOWN),
        ("sheet 5 mm ± 4 mm off, edge ± 0.5 mm, print ± 0.2 %", AS_IN_THE_FIELD),
    ):
        views = [
            trial(random, care, steepest_deg=45, width=given.width)
            for _ in range(given.views)
        ]
        _say(f"\n== {name}")
        for low, high in pairwise(STEPS_DEG):
            band = [view for view in views if low <= view.tilt_deg < high]
            _say(f"tilt {low:2d} to {high}°: {_told(band)}")
        _say(f"all          : {_told(views)}")


def _told(views: Sequence[Trial]) -> str:
    if not views:
        return "no view"
    off = np.array([100 * view.area_off for view in views])
    sd = np.array([100 * v.measured.area.sd / v.measured.area.value for v in views])
    held = ", ".join(
        f"{name} {100 * np.mean([view.covers(name) for view in views]):.0f} %"
        for name in ("area", "width", "height")
    )
    return (
        f"{len(views)} views, area off {off.mean():+.2f} % (sd {off.std():.2f}, worst "
        f"{np.abs(off).max():.2f}), stated sd {np.median(sd):.2f} %; 95 % range holds "
        f"{held}"
    )


def _say(text: str) -> None:
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
