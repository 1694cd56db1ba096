"""The outline of an opening: what a trace must be, and its area, width and height."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from monitor.errors import InvalidInput

Floats = NDArray[np.float64]

MOST_POINTS = 2000


@dataclass(frozen=True, slots=True)
class Extent:
    """Of an outline. [mm², mm]

    Attributes
    ----------
    width : across the grain, between the outermost points
    height : along the grain, the same
    """

    area: float
    width: float
    height: float
    perimeter: float


def checked(points: object) -> Floats:
    """The points of a trace, n × 2, without repeats of one another.

    Raises
    ------
    InvalidInput : fewer than three points, too many, or sides that cross
    """
    try:
        found = np.asarray(points, dtype=float)
    except (TypeError, ValueError):
        raise _refused("The outline is no list of points.", "pho-020") from None
    if found.ndim != 2 or found.shape[1:] != (2,) or not np.isfinite(found).all():
        raise _refused("The outline is no list of points.", "pho-020")
    if len(found) > MOST_POINTS:
        raise _refused(
            f"The outline has {len(found)} points; up to {MOST_POINTS} are taken.",
            "pho-020",
        )
    moves = np.linalg.norm(found - np.roll(found, 1, axis=0), axis=1)
    found = found[moves > 1e-9] if len(found) > 1 else found
    if len(found) < 3:
        raise _refused(
            "An outline needs at least three points; go around the opening once.",
            "pho-021",
        )
    if crossing := first_crossing(found):
        one, other = crossing
        raise _refused(
            f"The outline crosses itself: side {one + 1} meets side {other + 1}. Go "
            "around the opening once, without a loop.",
            "pho-022",
        )
    return found


def first_crossing(points: Floats) -> tuple[int, int] | None:
    """Numbers of two sides that cross or touch, None if none do."""
    start, end = points, np.roll(points, -1, axis=0)
    count = len(points)
    for one in range(count - 1):
        rest = np.arange(one + 1, count)
        neighbours = (rest == one + 1) | ((one == 0) & (rest == count - 1))
        hits = _meet(start[one], end[one], start[rest], end[rest]) & ~neighbours
        if hits.any():
            return one, int(rest[np.argmax(hits)])
    return None


def extent(points: Floats) -> Extent:
    """Area by the shoelace formula (C. F. Gauss), and the rest by definition."""
    x, y = points.T
    area = abs(float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))) / 2
    sides = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
    return Extent(area, float(np.ptp(x)), float(np.ptp(y)), float(sides.sum()))


def gradients(points: Floats) -> tuple[Floats, Floats, Floats]:
    """How area, width and height change as each point moves, n × 2 each."""
    x, y = points.T
    turn = np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))
    way = 1.0 if turn >= 0 else -1.0
    dx = (np.roll(y, -1) - np.roll(y, 1)) / 2
    dy = (np.roll(x, 1) - np.roll(x, -1)) / 2
    area = way * np.column_stack([dx, dy])
    width, height = np.zeros_like(points), np.zeros_like(points)
    width[np.argmax(x), 0], width[np.argmin(x), 0] = 1.0, -1.0
    height[np.argmax(y), 1], height[np.argmin(y), 1] = 1.0, -1.0
    return area, width, height


def _meet(a: Floats, b: Floats, c: Floats, d: Floats) -> NDArray[np.bool_]:
    """Whether the side a-b meets each of the sides c-d."""

    def side(p: Floats, q: Floats, r: Floats) -> Floats:
        one, other = q - p, r - p
        turn: Floats = one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0]
        return turn

    apart_1 = side(a, b, c) * side(a, b, d)
    apart_2 = side(c, d, a) * side(c, d, b)
    return (apart_1 <= 0) & (apart_2 <= 0) & _boxes_meet(a, b, c, d)


def _boxes_meet(a: Floats, b: Floats, c: Floats, d: Floats) -> NDArray[np.bool_]:
    low, high = np.minimum(a, b), np.maximum(a, b)
    lows, highs = np.minimum(c, d), np.maximum(c, d)
    return np.asarray(((low <= highs) & (lows <= high)).all(axis=-1), bool)


def _refused(words: str, code: str) -> InvalidInput:
    return InvalidInput(words, field="outline", code=code)
