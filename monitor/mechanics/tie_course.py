"""How load and rust of cables and pins go on: what both kinds of tie share."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from monitor.mechanics.guard import Array
from monitor.mechanics.margin import Course, Ends, largest, outside
from monitor.mechanics.screening import Z90

Bits = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """Metal lost [mm] and load [N], with their spreads, fit to work with."""

    loss_mm: Array
    loss_sd_mm: Array
    load_n: Array
    load_log_sd: Array


def load_is_missing(course: Course) -> NDArray[np.bool_]:
    """Return the members whose load or its spread is missing or impossible."""
    return outside(course.load_n, 1.0, 1e7) | outside(course.load_log_sd, 0.0, 2.0)


def loss_is_missing(course: Course) -> NDArray[np.bool_]:
    """Return the members whose loss of metal is missing or impossible."""
    return outside(course.loss_mm, -1.0, 1e2) | outside(course.loss_sd_mm, 0.0, 1e2)


def ways_of(course: Course, refused: Bits) -> Ways:
    """Return the course as the uses are worked out from, stand-ins where refused."""
    return Ways(
        np.maximum(kept(course.loss_mm, refused, 0.0), 0.0),
        kept(course.loss_sd_mm, refused, 0.0),
        kept(course.load_n, refused, 100.0),
        kept(course.load_log_sd, refused, 0.0)[:, np.newaxis],
    )


def ends_of(ways: Ways, uses: Callable[[Array, Array], Array]) -> Ends:
    """Return the largest use with loss and load in turn at their bounds.

    Parameters
    ----------
    uses : from loss and load to the use of each part
    """

    def at(z: float) -> Array:
        loss = np.maximum(ways.loss_mm + z * ways.loss_sd_mm, 0.0)
        load = ways.load_n * np.exp(z * ways.load_log_sd)
        turns = uses(loss, ways.load_n), uses(ways.loss_mm, load)
        return np.array([largest(turn) for turn in turns])

    return Ends(at(Z90), at(-Z90))


def kept(values: Array, refused: Bits, instead: float) -> Array:
    """Return the values with a stand-in in refused rows, struck out later."""
    rows = refused != 0
    return np.where(rows[:, np.newaxis] if values.ndim == 2 else rows, instead, values)
