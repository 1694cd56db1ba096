"""Ticks, scales and labels that do not touch: the quiet arithmetic of drawings."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)
YEAR_STEPS = (1, 2, 5, 10, 20, 25, 50)


@dataclass(frozen=True, slots=True)
class Scale:
    """From values to places on the drawing. [pt]

    Attributes
    ----------
    low, high : values at its two ends
    start, end : where these are drawn
    """

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Where a value is drawn, beyond the ends as well."""
        share = (value - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)

    def holds(self, value: float) -> bool:
        """Whether a value lies between the ends."""
        return self.low <= value <= self.high


def ticks(low: float, high: float, at_most: int) -> list[float]:
    """Round values between two ends.

    Examples
    --------
    >>> ticks(-0.3, 8.1, 5)
    [0.0, 2.0, 4.0, 6.0, 8.0]
    """
    rough = (high - low) / at_most
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * one for one in STEPS if power * one >= rough * (1 - 1e-9))
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [n * step for n in range(first, last + 1)]


def year_ticks(first: date, last: date, at_most: int) -> list[int]:
    """Round years whose first day lies between two days."""
    years = range(first.year + 1, last.year + 1)
    for step in YEAR_STEPS:
        kept = [year for year in years if year % step == 0]
        if len(kept) <= at_most:
            return kept
    return [year for year in years if year % 100 == 0]


def label(value: float, step: float) -> str:
    """A tick as it is written, with a real minus."""
    places = max(0, -math.floor(math.log10(step) + 1e-9))
    if not math.isclose(step, round(step, places), rel_tol=1e-6):
        places += 1
    text = f"{abs(value):,.{places}f}".replace(",", "\u202f")
    return f"−{text}" if value < 0 and any(c in "123456789" for c in text) else text


def spread(places: Sequence[float], gap: float) -> list[float]:
    """Places of labels, pushed apart until none touches another. [pt]"""
    order = sorted(range(len(places)), key=lambda n: places[n])
    runs: list[list[float]] = []  # centre and how many
    for n in order:
        runs.append([places[n], 1])
        while len(runs) > 1 and _touch(runs[-2], runs[-1], gap):
            (a, n_a), (b, n_b) = runs[-2:]
            runs[-2:] = [[(a * n_a + b * n_b) / (n_a + n_b), n_a + n_b]]
    seats = [c + (k - (m - 1) / 2) * gap for c, m in runs for k in range(int(m))]
    found = [0.0] * len(places)
    for n, seat in zip(order, seats, strict=True):
        found[n] = seat
    return found


def _touch(below: Sequence[float], above: Sequence[float], gap: float) -> bool:
    return above[0] - below[0] < gap * (below[1] + above[1]) / 2
