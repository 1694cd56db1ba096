"""A photograph laid flat, as if taken square on.

So two photographs of different years can be laid over one another.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from monitor.photogrammetry.camera import Shot, projected


@dataclass(frozen=True, slots=True)
class Patch:
    """Which part of the plane is drawn, and how fine.

    Attributes
    ----------
    left, top, right, bottom : on the sheet [mm]
    px_per_mm : of the drawing
    """

    left: float
    top: float
    right: float
    bottom: float
    px_per_mm: float = 4.0

    @property
    def size(self) -> tuple[int, int]:
        """Columns and rows. [px]"""
        across = round((self.right - self.left) * self.px_per_mm)
        down = round((self.bottom - self.top) * self.px_per_mm)
        return max(across, 1), max(down, 1)


def flattened(
    pixels: NDArray[np.uint8], params: NDArray[np.float64], shot: Shot, patch: Patch
) -> NDArray[np.uint8]:
    """The patch of the sheet's plane as seen from straight in front."""
    across, down = patch.size
    x = patch.left + (np.arange(across) + 0.5) / patch.px_per_mm
    y = patch.top + (np.arange(down) + 0.5) / patch.px_per_mm
    plane = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    where = projected(params, plane, shot).astype(np.float32).reshape(down, across, 2)
    flat = cv2.remap(
        pixels, where[..., 0], where[..., 1], cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT, borderValue=(255, 255, 255),
    )  # fmt: skip
    return np.asarray(flat, np.uint8)
