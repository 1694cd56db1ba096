"""Finding the four markers in a photograph, to a fraction of a pixel."""

from collections import Counter
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from monitor.errors import InvalidInput
from monitor.photogrammetry.marker_sheet import (
    CORNERS,
    SHEETS,
    MarkerSheet,
    dictionary,
    sheet_of,
)

FEWEST_MARKERS = 3
"""With two, scale and tilt of the plane hang on a few pixels."""

SMALLEST_MODULE_PX = 3.0
"""Below this the squares of a marker blur into one another (common practice)."""


@dataclass(frozen=True, slots=True)
class SheetSeen:
    """A sheet in a photograph.

    Attributes
    ----------
    ids : of the markers that were found
    corners_px : of each, clockwise from its upper left, n × 4 × 2; the centre of the
        first pixel is (0, 0)
    """

    sheet: MarkerSheet
    ids: tuple[int, ...]
    corners_px: NDArray[np.float64]

    @property
    def missing(self) -> tuple[str, ...]:
        """Where on the sheet no marker was seen."""
        wanted = zip(self.sheet.ids, CORNERS, strict=True)
        return tuple(place for key, place in wanted if key not in self.ids)

    @property
    def corners_mm(self) -> NDArray[np.float64]:
        """The same corners on the sheet, n × 4 × 2. [mm]"""
        return np.stack([self.sheet.corners_mm(key) for key in self.ids])


def find_sheet(grey: NDArray[np.uint8]) -> SheetSeen:
    """The sheet in a photograph.

    Raises
    ------
    InvalidInput : no marker, too few, two sheets at once, or too small in the picture
    """
    found = _found(grey)
    sheet = _the_sheet(found)
    ids = tuple(key for key in sheet.ids if len(found.get(key, ())) == 1)
    doubled = [key for key in sheet.ids if len(found.get(key, ())) > 1]
    if doubled:
        raise _refused(
            f"Marker {doubled[0]} is in the photograph twice. Take away the second "
            "sheet, and photograph one alone.",
            "pho-012",
        )
    if len(ids) < FEWEST_MARKERS:
        raise _too_few(sheet, ids)
    seen = SheetSeen(sheet, ids, np.stack([found[key][0] for key in ids]))
    _refuse_small(seen)
    return seen


def _found(grey: NDArray[np.uint8]) -> dict[int, list[NDArray[np.float64]]]:
    asked = cv2.aruco.DetectorParameters()
    asked.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    asked.cornerRefinementWinSize = 7
    asked.cornerRefinementMaxIterations = 60
    asked.cornerRefinementMinAccuracy = 0.005
    detector = cv2.aruco.ArucoDetector(dictionary(), asked)
    corners, ids, _ = detector.detectMarkers(grey)
    found: dict[int, list[NDArray[np.float64]]] = {}
    keys = [] if ids is None else np.asarray(ids).ravel().tolist()
    for key, four in zip(keys, corners, strict=True):
        found.setdefault(int(key), []).append(np.asarray(four, float).reshape(4, 2))
    return found


def _the_sheet(found: dict[int, list[NDArray[np.float64]]]) -> MarkerSheet:
    ours = [sheet for key in found if (sheet := sheet_of(key))]
    if not ours:
        raise _refused(
            "No marker of the sheet is in the photograph. Print the marker sheet, lay "
            "it around the wound, and take all four markers into the picture, sharp "
            "and without glare.",
            "pho-010",
        )
    counts = Counter(sheet.name for sheet in ours)
    (name, most), *rest = counts.most_common()
    if rest and rest[0][1] == most:
        raise _refused(
            f"Markers of two sheets are in the photograph ({name} and {rest[0][0]}). "
            "Photograph one sheet alone.",
            "pho-012",
        )
    return next(sheet for sheet in SHEETS if sheet.name == name)


def _too_few(sheet: MarkerSheet, ids: tuple[int, ...]) -> InvalidInput:
    places = zip(sheet.ids, CORNERS, strict=True)
    missing = ", ".join(place for key, place in places if key not in ids)
    return _refused(
        f"Only {len(ids)} of the four markers can be read; not those at the {missing}. "
        "One may be covered in part, unsharp or in glare; the other three have to be "
        "whole.",
        "pho-011",
    )


def _refuse_small(seen: SheetSeen) -> None:
    sides = np.linalg.norm(
        np.roll(seen.corners_px, -1, axis=1) - seen.corners_px, axis=2
    )
    module_px = float(sides.min()) * seen.sheet.module / seen.sheet.marker
    if module_px < SMALLEST_MODULE_PX:
        raise _refused(
            f"The markers are too small in the photograph: a square of theirs has "
            f"{module_px:.1f} pixels, at least {SMALLEST_MODULE_PX:.0f} are needed. "
            "Go nearer.",
            "pho-013",
        )


def _refused(words: str, code: str) -> InvalidInput:
    return InvalidInput(words, field="photo", code=code)
