"""How far a post leans today and which way that goes, from its outlook."""

import numpy as np

from monitor.domain.conclusions import Outlook
from monitor.mechanics.lean import AS_BUILT_PLUMB_MM_M
from monitor.services.assessing.outlooks import NINETY
from monitor.services.margins.case import Findings, Known, Lean, Run
from monitor.units import show

ASSUMED_SD_MM_M = 1.0


def lean_of(known: Known, found: Findings) -> Lean:
    """Lean out of plumb as the outlook has it; assumed where it was never read."""
    runs = known.runs.get("tilt", ())
    read = [_read(known, run) for run in runs if run.on]
    if read:
        lean, outlook = max(read, key=lambda pair: pair[0].now_mm_m)
        pace = _pace(outlook)
        found.measured(
            "lean", show(lean.now_mm_m, "mm/m"),
            f"{_by_what(lean)}, good to {show(lean.now_sd_mm_m, 'mm/m')}; {pace}",
        )  # fmt: skip
        return lean
    found.taken(
        "lean", show(AS_BUILT_PLUMB_MM_M, "mm/m"),
        "what AISC 303 allows a new column (1/500), good to "
        f"{show(ASSUMED_SD_MM_M, 'mm/m')}",
    )  # fmt: skip
    found.missing.append("The lean was never read; needed: both axes at one face.")
    return Lean(AS_BUILT_PLUMB_MM_M, ASSUMED_SD_MM_M)


def _read(known: Known, run: Run) -> tuple[Lean, Outlook | None]:
    seen = tuple(
        (-known.years_since(on), float(np.hypot(x, y)))
        for on, x, y in zip(run.on, run.values, run.values_y, strict=True)
    )
    outlook = _outlook(known, run)
    position = outlook.details.get("position") if outlook is not None else None
    if isinstance(position, list) and len(position) == 5:
        x, y, sd_x, sd_y, _ = (float(part) for part in position)
        spread = float(np.hypot(sd_x, sd_y)) / float(np.sqrt(2.0))
    else:
        x, y, spread = run.values[-1], run.values_y[-1], run.noise[-1]
    newest = float(np.hypot(run.values[-1], run.values_y[-1]))
    if newest > np.hypot(x, y) + NINETY / 2 * spread:  # worse counts until repeated
        x, y = run.values[-1], run.values_y[-1]
    rate, rate_sd = _rate(outlook)
    moved = float(np.hypot(x - run.values[0], y - run.values_y[0]))
    return Lean(float(np.hypot(x, y)), spread, rate, rate_sd, seen, moved), outlook


def _by_what(lean: Lean) -> str:
    if len(lean.seen) > 1 and lean.now_mm_m == lean.seen[-1][1]:
        return "the newest reading; it is worse than the others foretold"
    return f"{len(lean.seen)} readings, as of today"


def _outlook(known: Known, run: Run) -> Outlook | None:
    """The outlook of the same readings: same segment, same number of them."""
    for outlook in known.outlooks.get("tilt", ()):
        if outlook.details.get("segment_from") == run.starts_on.isoformat():
            return outlook
    return None


def _rate(outlook: Outlook | None) -> tuple[float, float]:
    """Yearly change away from the first position, taken along the lean. [mm/m/y]"""
    if outlook is None or outlook.rate is None:
        return 0.0, 0.0
    low, high = outlook.rate_low, outlook.rate_high
    if low is None or high is None:
        return outlook.rate, abs(outlook.rate)
    return outlook.rate, (high - low) / NINETY


def _pace(outlook: Outlook | None) -> str:
    if outlook is None or outlook.rate is None:
        return "its rate is not known and taken as nothing"
    return f"going on at {show(outlook.rate, 'mm/m', digits=2)} a year"
