"""From a traced photograph to millimetres, with every source of doubt declared.

Standard deviations are propagated to first order (JCGM 100:2008, clause 5.1.2). The
greatest real error is the height of the sheet above the wood: 20 mm at 400 mm make
10 % of area, by similar triangles; so it is asked for, corrected and carried on.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from monitor.errors import InvalidInput
from monitor.photogrammetry.camera import Shot, View, fit_view, on_plane
from monitor.photogrammetry.markers import SheetSeen
from monitor.photogrammetry.outline import Extent, checked, extent, gradients

Floats = NDArray[np.float64]

METHOD_VERSION = "photo-1"
TWO_SIDED_95 = 1.96
"""Standard deviations on either side that hold 95 % of a normal distribution."""

HAND_MM = 8.0
"""Along the outline, over which an unsteady hand errs to the same side (no source)."""

STEEPEST_DEG = 60.0
DOUBTS = ("markers and lens", "trace", "edge", "height of the sheet", "print")


@dataclass(frozen=True, slots=True)
class Care:
    """How well the parts are known; one standard deviation each.

    Defaults are common practice without a source.

    Attributes
    ----------
    offset_mm, offset_sd_mm : how far the sheet lies off the wood, towards the camera
    trace_sd_px : of a traced point [px]
    edge_sd_mm : where the bark's edge is taken to be, all around alike
    ruler_mm, ruler_sd_mm : length of the printed check line, None if it is true
    """

    offset_mm: float = 5.0
    offset_sd_mm: float = 5.0
    trace_sd_px: float = 3.0
    edge_sd_mm: float = 0.5
    ruler_mm: float | None = None
    ruler_sd_mm: float = 0.3


@dataclass(frozen=True, slots=True)
class Figure:
    """A value with its standard deviation."""

    value: float
    sd: float

    @property
    def low(self) -> float:
        """Lower end of the 95 % range; a length is not below nothing."""
        return max(0.0, self.value - TWO_SIDED_95 * self.sd)

    @property
    def high(self) -> float:
        """Upper end of the 95 % range."""
        return self.value + TWO_SIDED_95 * self.sd


@dataclass(frozen=True, slots=True)
class Measured:
    """What a traced photograph says.

    Attributes
    ----------
    area : [mm²]
    width, height : across and along the grain [mm]
    shares : of the area's variance, by source of doubt, summing to 1
    outline_mm : the trace on the plane of the wound
    """

    area: Figure
    width: Figure
    height: Figure
    shares: dict[str, float]
    outline_mm: Floats
    view: View


def measure(seen: SheetSeen, shot: Shot, trace: object, care: Care) -> Measured:
    """Area, width and height of the traced opening.

    Parameters
    ----------
    trace : points of the outline in the order drawn [px]

    Raises
    ------
    InvalidInput : the trace or the picture can not be measured, and why
    """
    _refuse_careless(care, seen.sheet.ruler)
    points = checked(trace)
    _refuse_outside(points, shot)
    ruler_mm = seen.sheet.ruler
    scale = (care.ruler_mm or ruler_mm) / ruler_mm
    view = fit_view(seen, shot, scale=scale)
    if view.tilt_deg > STEEPEST_DEG:
        raise InvalidInput(
            f"The photograph was taken {view.tilt_deg:.0f}° off the square; up to "
            f"{STEEPEST_DEG:.0f}° can be corrected. Take it from in front.",
            field="photo",
            code="pho-015",
        )
    spots = on_plane(view.params, points, shot, care.offset_mm)
    found = extent(spots)
    parts = _variances(view, points, care, (spots, ruler_mm))
    total = np.sum(list(parts.values()), axis=0)
    sds = np.sqrt(total)
    areas = {name: float(part[0] / total[0]) for name, part in parts.items()}
    return Measured(
        Figure(found.area, float(sds[0])),
        Figure(found.width, float(sds[1])),
        Figure(found.height, float(sds[2])),
        areas,
        spots,
        view,
    )


def _variances(
    view: View, points: Floats, care: Care, on: tuple[Floats, float]
) -> dict[str, Floats]:
    """Of area, width and height, by source of doubt.

    Parameters
    ----------
    on : the outline on the plane, and the length of the check line [mm]
    """
    spots, ruler_mm = on
    found = extent(spots)
    of_view = _by_view(view, points, care)
    by_depth = _by_depth(view, points, care)
    print_sd = care.ruler_sd_mm / ruler_mm
    by_print = np.array([2 * found.area, found.width, found.height]) * print_sd
    by_edge = np.array([found.perimeter, 2.0, 2.0]) * care.edge_sd_mm
    parts = (
        np.einsum("qi,ij,qj->q", of_view, view.covariance, of_view),
        _by_hand(view, points, care, spots),
        by_edge**2,
        (by_depth * care.offset_sd_mm) ** 2,
        by_print**2,
    )
    return dict(zip(DOUBTS, parts, strict=True))


def _numbers(found: Extent) -> Floats:
    return np.array([found.area, found.width, found.height])


def _by_view(view: View, points: Floats, care: Care) -> Floats:
    """Slopes of area, width and height with each parameter of the camera, 3 × 10."""
    sds = np.sqrt(np.diag(view.covariance))
    columns = []
    for n, sd in enumerate(sds):
        move = np.zeros(len(sds))
        move[n] = 0.1 * sd
        ends = [
            _numbers(extent(on_plane(params, points, view.shot, care.offset_mm)))
            for params in (view.params + move, view.params - move)
        ]
        columns.append((ends[0] - ends[1]) / (0.2 * sd))
    return np.column_stack(columns)


def _by_depth(view: View, points: Floats, care: Care) -> Floats:
    """Slopes with the height of the sheet above the wood. [mm²/mm, mm/mm]"""
    ends = [
        _numbers(extent(on_plane(view.params, points, view.shot, depth)))
        for depth in (care.offset_mm + 0.5, care.offset_mm - 0.5)
    ]
    return ends[0] - ends[1]


def _by_hand(view: View, points: Floats, care: Care, spots: Floats) -> Floats:
    """Scatter of the hand: alike for neighbours, independent farther on."""
    sides = np.linalg.norm(np.roll(spots, -1, axis=0) - spots, axis=1)
    along = np.concatenate([[0.0], np.cumsum(sides)[:-1]])
    apart = np.abs(along[:, None] - along[None, :])
    apart = np.minimum(apart, sides.sum() - apart)
    alike = np.exp(-((apart / HAND_MM) ** 2))
    moved = [
        (on_plane(view.params, points + step, view.shot, care.offset_mm) - spots)
        for step in (np.array([1.0, 0.0]), np.array([0.0, 1.0]))
    ]
    variances = []
    for slope in gradients(spots):
        per_px = [np.sum(slope * move, axis=1) for move in moved]
        variances.append(sum(float(g @ alike @ g) for g in per_px))
    return np.array(variances) * care.trace_sd_px**2


def _refuse_outside(points: Floats, shot: Shot) -> None:
    inside = (points >= -1).all() and (points <= (shot.width, shot.height)).all()
    if not inside:
        raise InvalidInput(
            "The outline leaves the photograph. Trace it on the photograph itself.",
            field="outline",
            code="pho-023",
        )


def _refuse_careless(care: Care, ruler_mm: float) -> None:
    fits = (
        -50 <= care.offset_mm <= 100
        and 0 < care.offset_sd_mm <= 50
        and 0 < care.trace_sd_px <= 200
        and 0 <= care.edge_sd_mm <= 10
        and 0.8 <= (care.ruler_mm or ruler_mm) / ruler_mm <= 1.2
        and 0 <= care.ruler_sd_mm <= 5
    )
    if not fits:
        raise InvalidInput(
            "How the sheet lay is out of bounds: −50 to 100 mm off the wood, and a "
            f"check line within a fifth of {ruler_mm:.0f} mm, are taken.",
            field="care",
            code="pho-024",
        )
