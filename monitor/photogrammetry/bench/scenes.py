"""Draws a sheet around a known opening as a camera would see it.

The camera here is written down apart from the one that measures: a rotation by three
angles, the division by depth, the lens, the chip.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from monitor.photogrammetry.marker_sheet import MarkerSheet, modules_of

Floats = NDArray[np.float64]

FINE = 10
"""Squares of the drawn sheet a millimetre."""


@dataclass(frozen=True, slots=True)
class Scene:
    """A camera before a sheet.

    Attributes
    ----------
    tilt_deg, toward_deg : how far off the square, and to which side
    roll_deg : of the camera about its line of sight
    distance_mm : from the lens to the middle of the sheet
    offset_mm : of the wood behind the sheet
    lens : radial term at half a diagonal
    noise, blur_px : of the chip [grey levels], [px]
    print_scale : true length of a printed millimetre
    """

    tilt_deg: float = 0.0
    toward_deg: float = 0.0
    roll_deg: float = 0.0
    distance_mm: float = 420.0
    offset_mm: float = 0.0
    lens: float = 0.0
    focal_35_mm: float = 26.0
    width: int = 3000
    height: int = 4000
    noise: float = 3.0
    blur_px: float = 0.8
    print_scale: float = 1.0


def an_opening(random: np.random.Generator, middle: Floats, radius_mm: float) -> Floats:
    """An irregular outline of 14 to 24 straight sides. [mm]"""
    count = int(random.integers(14, 25))
    around = np.linspace(0, 2 * np.pi, count, endpoint=False)
    waves = sum(
        random.normal(0, 0.08) * np.cos(k * around + random.uniform(0, 6.3))
        for k in range(1, 5)
    )
    radii = radius_mm * (1 + np.asarray(waves))
    points = np.column_stack([radii * np.cos(around), radii * np.sin(around)])
    return np.asarray(middle + points * random.uniform(0.8, 1.25, 2), float)


def seen_at(scene: Scene, sheet: MarkerSheet, points: Floats, depth: float) -> Floats:
    """Where points `depth` behind the sheet appear, n × 2. [px]"""
    middle = np.array([sheet.width / 2, sheet.height / 2]) * scene.print_scale
    solid = np.column_stack([points - middle, np.full(len(points), depth)])
    space = solid @ _turn(scene).T + (0, 0, scene.distance_mm)
    half = np.hypot(scene.width, scene.height) / 2
    focal = scene.focal_35_mm / 43.27 * 2 * half
    flat = focal * space[:, :2] / space[:, 2:]
    radius = (np.linalg.norm(flat, axis=1, keepdims=True) / half) ** 2
    centre = np.array([(scene.width - 1) / 2, (scene.height - 1) / 2])
    return np.asarray(centre + flat * (1 + scene.lens * radius), float)


def photographed(
    scene: Scene, sheet: MarkerSheet, opening: Floats, random: np.random.Generator
) -> NDArray[np.uint8]:
    """The grey picture of the sheet around the opening."""
    drawn = _sheet_drawn(sheet)
    where, inside = _fitted_to_picture(scene, sheet)
    picture = np.full((scene.height, scene.width), 120.0, np.float32)
    seen = cv2.remap(drawn, where[..., 0], where[..., 1], cv2.INTER_LINEAR)
    picture[inside] = seen[inside]
    edge = seen_at(scene, sheet, opening, scene.offset_mm)
    dark = np.round(edge * 16).astype(np.int32)
    cv2.fillPoly(picture, [dark], 60.0, lineType=cv2.LINE_AA, shift=4)
    blurred = cv2.GaussianBlur(picture, (0, 0), scene.blur_px)
    noisy = blurred + random.normal(0, scene.noise, blurred.shape)
    return np.asarray(np.clip(noisy, 0, 255), np.uint8)


def _turn(scene: Scene) -> Floats:
    """Tilt about an axis in the sheet, then the camera's roll."""
    toward, tilt, roll = np.radians((scene.toward_deg, scene.tilt_deg, scene.roll_deg))

    def about_z(angle: float) -> Floats:
        c, s = np.cos(angle), np.sin(angle)
        return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])

    c, s = np.cos(tilt), np.sin(tilt)
    about_x = np.array([[1, 0, 0], [0, c, -s], [0, s, c]])
    turned: Floats = about_z(roll) @ about_z(toward) @ about_x @ about_z(-toward)
    return turned


def _sheet_drawn(sheet: MarkerSheet) -> NDArray[np.uint8]:
    """White paper with its markers, and wood in the open middle."""
    size = round(sheet.height * FINE), round(sheet.width * FINE)
    paper = np.full(size, 235, np.uint8)
    left, top, right, bottom = (round(edge * FINE) for edge in sheet.window)
    paper[top:bottom, left:right] = 150
    module = sheet.module * FINE
    for key in sheet.ids:
        x, y = (edge * FINE for edge in sheet.origin(key))
        for (row, column), is_black in np.ndenumerate(modules_of(key)):
            if is_black:
                rows = slice(round(y + row * module), round(y + (row + 1) * module))
                columns = slice(
                    round(x + column * module), round(x + (column + 1) * module)
                )
                paper[rows, columns] = 25
    return paper


def _fitted_to_picture(
    scene: Scene, sheet: MarkerSheet
) -> tuple[NDArray[np.float32], NDArray[np.bool_]]:
    """For each pixel, where on the drawn sheet it looks, and whether it does."""
    rows, columns = np.mgrid[0 : scene.height, 0 : scene.width]
    half = np.hypot(scene.width, scene.height) / 2
    focal = scene.focal_35_mm / 43.27 * 2 * half
    bent = np.stack(
        [columns - (scene.width - 1) / 2, rows - (scene.height - 1) / 2], axis=-1
    ).astype(np.float32)
    flat = bent
    for _ in range(6):
        flat = bent / (1 + scene.lens * (flat**2).sum(-1, keepdims=True) / half**2)
    turn = _turn(scene)
    rays = np.concatenate([flat / focal, np.ones((*flat.shape[:2], 1))], axis=-1)
    rays = (rays @ turn).astype(np.float32)
    eye = turn.T @ np.array([0, 0, scene.distance_mm])
    along = eye[2] / rays[..., 2]
    spots = along[..., None] * rays[..., :2] - eye[:2]
    paper = spots / scene.print_scale + (sheet.width / 2, sheet.height / 2)
    inside = (paper >= 0).all(-1) & (paper < (sheet.width, sheet.height)).all(-1)
    where = (paper * FINE - 0.5).astype(np.float32)
    return where, inside
