"""How load and rust of cables and pins go on: what both kinds of tie share."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from monitor.mechanics.guard import Array
from monitor.mechanics.margin import Course, outside

Bits = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """Middle and one standard deviation worse, of metal lost [mm] and load [N]."""

    loss_mm: Array
    worn_mm: Array
    load_n: Array
    heavier_n: Array


def load_is_missing(course: Course) -> NDArray[np.bool_]:
    """Return the members whose load or its spread is missing or impossible."""
    return outside(course.load_n, 1.0, 1e7) | outside(course.load_log_sd, 0.0, 2.0)


def loss_is_missing(course: Course) -> NDArray[np.bool_]:
    """Return the members whose loss of metal is missing or impossible."""
    return outside(course.loss_mm, -1.0, 1e2) | outside(course.loss_sd_mm, 0.0, 1e2)


def ways_of(course: Course, refused: Bits) -> Ways:
    """Return the course as the uses are worked out from, stand-ins where refused."""
    loss = np.maximum(kept(course.loss_mm, refused, 0.0), 0.0)
    load = kept(course.load_n, refused, 100.0)
    spread = np.exp(kept(course.load_log_sd, refused, 0.0))[:, np.newaxis]
    worn = loss + kept(course.loss_sd_mm, refused, 0.0)
    return Ways(loss, worn, load, load * spread)


def kept(values: Array, refused: Bits, instead: float) -> Array:
    """Return the values with a stand-in in refused rows, struck out later."""
    rows = refused != 0
    return np.where(rows[:, np.newaxis] if values.ndim == 2 else rows, instead, values)


def most(each: Array) -> Array:
    """Return the largest use of all parts."""
    return np.asarray(np.nanmax(each, axis=0), dtype=np.float64)
