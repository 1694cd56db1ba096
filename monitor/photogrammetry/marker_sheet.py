"""The printed frame of four markers that is laid around a wound.

Coordinates on a sheet are millimetres from its upper left corner: x to the right, y
down, z into the wood. The arrow on the sheet points up the stem, so that y runs along
the grain.

References
----------
.. [1] S. Garrido-Jurado, R. Muñoz-Salinas, F. J. Madrid-Cuevas, M. J. Marín-Jiménez,
   Automatic generation and detection of highly reliable fiducial markers under
   occlusion, Pattern Recognition 47 (2014) 2280-2292: markers of n × n bits in a
   black border of one module, within a white surround
"""

from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

DICTIONARY = cv2.aruco.DICT_4X4_50
BITS = 4
BORDER = 1
MODULES = BITS + 2 * BORDER
"""Across a marker, its black border included."""

RULERS_MM = (50.0, 100.0, 150.0)
"""Of the line by which a print is checked."""

CORNERS = ("upper left", "upper right", "lower left", "lower right")


@dataclass(frozen=True, slots=True)
class MarkerSheet:
    """One size of the frame. [mm]

    Attributes
    ----------
    name : as printed on it
    width, height : of the paper, or of the card cut from it
    marker : side of a marker, black border included
    margin : from the edge of the paper to the markers
    first_id : of the marker at the upper left; the others follow in reading order
    window : left, top, right, bottom of the open middle
    """

    name: str
    width: float
    height: float
    marker: float
    margin: float
    first_id: int
    window: tuple[float, float, float, float]

    @property
    def module(self) -> float:
        """Side of one black or white square. [mm]"""
        return self.marker / MODULES

    @property
    def ruler(self) -> float:
        """Length of the check line, the longer one that fits between markers. [mm]"""
        free = self.height - 2 * (self.margin + self.marker + self.module)
        return max(line for line in RULERS_MM if line <= free)

    @property
    def ids(self) -> tuple[int, ...]:
        """Of the four markers, in the order of `CORNERS`."""
        return tuple(range(self.first_id, self.first_id + 4))

    def origin(self, marker_id: int) -> tuple[float, float]:
        """Upper left corner of a marker. [mm]"""
        right, low = (marker_id - self.first_id) % 2, (marker_id - self.first_id) // 2
        x = self.width - self.margin - self.marker if right else self.margin
        y = self.height - self.margin - self.marker if low else self.margin
        return x, y

    def corners_mm(self, marker_id: int) -> NDArray[np.float64]:
        """Clockwise from the upper left, 4 × 2, as the detector gives them. [mm]"""
        x, y = self.origin(marker_id)
        side = self.marker
        return np.array([(x, y), (x + side, y), (x + side, y + side), (x, y + side)])


SHEETS = (
    MarkerSheet("A4", 210.0, 297.0, 36.0, 14.0, 0, (26.0, 60.0, 184.0, 237.0)),
    MarkerSheet("Letter", 215.9, 279.4, 36.0, 14.0, 4, (26.0, 60.0, 189.9, 219.4)),
    MarkerSheet("card", 120.0, 120.0, 24.0, 6.0, 8, (16.0, 36.0, 104.0, 84.0)),
)


def sheet_of(marker_id: int) -> MarkerSheet | None:
    """The sheet that carries this marker, None if it is none of ours."""
    return next((sheet for sheet in SHEETS if marker_id in sheet.ids), None)


@cache
def dictionary() -> cv2.aruco.Dictionary:
    """The open family of markers: 4 × 4 bits, fifty of them."""
    return cv2.aruco.getPredefinedDictionary(DICTIONARY)


def modules_of(marker_id: int) -> NDArray[np.bool_]:
    """Which squares of a marker are black, border included; rows from the top."""
    drawn = cv2.aruco.generateImageMarker(dictionary(), marker_id, MODULES)
    black: NDArray[np.bool_] = np.equal(np.asarray(drawn), 0)
    return black
