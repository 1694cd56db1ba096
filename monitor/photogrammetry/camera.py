"""How a camera saw the sheet: pose, focal length and lens, with their covariance.

A pinhole with square pixels and one term of radial distortion. What a photograph can
not tell (the focal length when the sheet is seen square on) is held by a prior, so the
covariance stays honest.

References
----------
.. [1] R. Hartley, A. Zisserman, Multiple View Geometry in Computer Vision, 2nd ed.,
   2004: pinhole camera 6.1, plane-to-image homography 8.1.1, radial distortion 7.4,
   covariance of the estimate 5.2
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from monitor.errors import InvalidInput
from monitor.photogrammetry.markers import SheetSeen

Floats = NDArray[np.float64]

FULL_FRAME_DIAGONAL_MM = 43.27
"""Of 36 mm × 24 mm, to which “35 mm equivalent” focal lengths refer."""

USUAL_FOCAL_35_MM = 26.0
"""Of a phone's main lens; used with a wide prior where the picture says nothing."""

FOCAL_SD = {True: 0.06, False: 0.35}
"""Of the logarithm of the focal length: as stated in the picture, or supposed."""

CENTRE_SD = 0.015
"""Of the principal point, in half diagonals (common practice, no source)."""

LENS_SD = 0.04
"""Of the radial term at half a diagonal: phones correct their lenses in part."""

CORNER_SD_PX = 0.3
_WEIGHT = 8
"""The expected scatter of corners counts as much as so many residuals."""

WORST_RMS = 4e-3
"""Largest scatter of corners about a flat sheet, as a share of a marker's side."""


@dataclass(frozen=True, slots=True)
class Shot:
    """Facts of the picture itself.

    Attributes
    ----------
    width, height : [px]
    focal_35_mm : 35 mm equivalent as the camera states it, None if it does not
    """

    width: int
    height: int
    focal_35_mm: float | None = None

    @property
    def half_diagonal(self) -> float:
        """[px]"""
        return float(np.hypot(self.width, self.height)) / 2

    @property
    def usual(self) -> Floats:
        """Expected logarithm of the focal length, centre and lens term."""
        focal = (self.focal_35_mm or USUAL_FOCAL_35_MM) / FULL_FRAME_DIAGONAL_MM
        centre = (self.width - 1) / 2, (self.height - 1) / 2
        return np.array([np.log(focal * 2 * self.half_diagonal), *centre, 0.0])

    @property
    def sds(self) -> Floats:
        """How far those may be off."""
        centre = CENTRE_SD * self.half_diagonal
        return np.array(
            [FOCAL_SD[self.focal_35_mm is not None], centre, centre, LENS_SD]
        )


@dataclass(frozen=True, slots=True)
class View:
    """A fitted camera.

    Attributes
    ----------
    params : rotation vector, translation [mm], log focal length [log px], centre [px],
        lens term at half a diagonal
    covariance : of `params`, 10 × 10
    corner_sd_px : scatter of the corners that was found [px]
    """

    shot: Shot
    params: Floats
    covariance: Floats
    corner_sd_px: float

    @property
    def distance_mm(self) -> float:
        """From the lens to the plane of the sheet, square on. [mm]"""
        rotation, shift, *_ = _parts(self.params)
        return float((rotation.T @ shift)[2])

    @property
    def tilt_deg(self) -> float:
        """Between the line of sight and the square on the sheet. [deg]"""
        rotation, *_ = _parts(self.params)
        return float(np.degrees(np.arccos(np.clip(rotation[2, 2], -1, 1))))


def fit_view(seen: SheetSeen, shot: Shot, *, scale: float = 1.0) -> View:
    """The camera that saw these corners.

    Parameters
    ----------
    scale : true length of a printed millimetre [mm]

    Raises
    ------
    InvalidInput : the corners do not lie on one plane
    """
    plane = seen.corners_mm.reshape(-1, 2) * scale
    picture = seen.corners_px.reshape(-1, 2)
    start = np.concatenate([_first_pose(plane, picture, shot), shot.usual])
    first = _fitted(start, plane, picture, shot, CORNER_SD_PX)
    sd = _scatter(first, plane, picture, shot)
    _refuse_bent(sd, seen)
    params = _fitted(first, plane, picture, shot, sd)
    slopes = _slopes(params, plane, shot)
    weights = slopes.T @ slopes / sd**2
    weights[6:, 6:] += np.diag(shot.sds**-2)
    covariance = np.asarray(np.linalg.inv(weights), float)
    return View(shot, params, covariance, sd)


def projected(params: Floats, plane: Floats, shot: Shot) -> Floats:
    """Where points of the sheet appear, n × 2. [px]"""
    rotation, shift, focal, centre, lens = _parts(params)
    space = plane @ rotation[:, :2].T + shift
    flat = focal * space[:, :2] / space[:, 2:]
    radius = np.sum(flat**2, axis=1, keepdims=True) / shot.half_diagonal**2
    bent: Floats = centre + flat * (1 + lens * radius)
    return bent


def on_plane(params: Floats, picture: Floats, shot: Shot, depth_mm: float) -> Floats:
    """Points of the picture on the plane `depth_mm` behind the sheet, n × 2. [mm]"""
    rotation, shift, focal, centre, lens = _parts(params)
    bent = picture - centre
    flat = bent
    for _ in range(12):
        radius = np.sum(flat**2, axis=1, keepdims=True) / shot.half_diagonal**2
        flat = bent / (1 + lens * radius)
    rays = np.column_stack([flat / focal, np.ones(len(flat))]) @ rotation
    eye = rotation.T @ shift
    along = (depth_mm + eye[2]) / rays[:, 2]
    spots: Floats = (along[:, None] * rays - eye)[:, :2]
    return spots


def _parts(params: Floats) -> tuple[Floats, Floats, float, Floats, float]:
    rotation = np.asarray(cv2.Rodrigues(params[:3])[0], float)
    return rotation, params[3:6], float(np.exp(params[6])), params[7:9], params[9]


def _first_pose(plane: Floats, picture: Floats, shot: Shot) -> Floats:
    log_focal, x, y, _ = shot.usual
    focal = np.exp(log_focal)
    matrix = np.array([[focal, 0, x], [0, focal, y], [0, 0, 1]])
    solid = np.column_stack([plane, np.zeros(len(plane))])
    middle = solid.mean(axis=0)
    _, turns, shifts, errors = cv2.solvePnPGeneric(
        solid - middle, picture, matrix, None, flags=cv2.SOLVEPNP_IPPE
    )
    best = int(np.argmin(np.asarray(errors).ravel()))
    rotation = np.asarray(cv2.Rodrigues(turns[best])[0], float)
    shift = np.asarray(shifts[best], float).ravel() - rotation @ middle
    return np.concatenate([np.asarray(turns[best], float).ravel(), shift])


def _fitted(
    start: Floats, plane: Floats, picture: Floats, shot: Shot, sd_px: float
) -> Floats:
    usual, sds = shot.usual, shot.sds

    def misses(params: Floats) -> Floats:
        off = (projected(params, plane, shot) - picture).ravel() / sd_px
        return np.concatenate([off, (params[6:] - usual) / sds])

    found: Floats = least_squares(misses, start, method="lm", x_scale=_steps(shot)).x
    return found


def _scatter(params: Floats, plane: Floats, picture: Floats, shot: Shot) -> float:
    """Of the corners, pooled with what is expected of them. [px]"""
    off = projected(params, plane, shot) - picture
    free = max(off.size - 8, 1)
    squares = float(np.sum(off**2)) + _WEIGHT * CORNER_SD_PX**2
    return float(np.sqrt(squares / (free + _WEIGHT)))


def _refuse_bent(sd_px: float, seen: SheetSeen) -> None:
    sides = np.linalg.norm(
        np.roll(seen.corners_px, -1, axis=1) - seen.corners_px, axis=2
    )
    allowed = max(3 * CORNER_SD_PX, WORST_RMS * 4 * float(sides.mean()))
    if sd_px > allowed:
        raise InvalidInput(
            f"The markers do not lie on one flat plane: their corners are off by "
            f"{sd_px:.1f} pixels. Lay the sheet flat, and send the photograph as it "
            "was taken, not cut.",
            field="photo",
            code="pho-014",
        )


def _slopes(params: Floats, plane: Floats, shot: Shot) -> Floats:
    steps = _steps(shot) * 1e-4
    columns = []
    for n, step in enumerate(steps):
        move = np.zeros(len(params))
        move[n] = step
        ahead = projected(params + move, plane, shot)
        behind = projected(params - move, plane, shot)
        columns.append((ahead - behind).ravel() / (2 * step))
    return np.column_stack(columns)


def _steps(shot: Shot) -> Floats:
    """A notable change of each parameter."""
    return np.array(
        [0.1] * 3 + [10.0] * 3 + [0.1] + [0.01 * shot.half_diagonal] * 2 + [0.1]
    )
