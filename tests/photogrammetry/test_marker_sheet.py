"""What is printed is what the detector expects, to the millimetre."""

import cv2
import numpy as np
import pytest

from monitor.photogrammetry.marker_sheet import (
    BITS,
    BORDER,
    MODULES,
    SHEETS,
    dictionary,
    modules_of,
    sheet_of,
)


def test_the_family_has_fifty_markers_of_four_by_four_bits_in_a_black_border():
    # OpenCV's documentation of its predefined dictionaries: DICT_4X4_50 has 50 markers
    # of 4 × 4 bits; a border of one module by Garrido-Jurado et al. 2014.
    assert len(dictionary().bytesList) == 50
    assert (BITS, BORDER, MODULES) == (4, 1, 6)
    for sheet in SHEETS:
        for key in sheet.ids:
            black = modules_of(key)
            assert black.shape == (6, 6)
            rim = np.ones((6, 6), bool)
            rim[1:-1, 1:-1] = False
            assert black[rim].all()


def test_markers_of_the_family_differ_in_enough_bits_whichever_way_they_are_turned():
    inside = [~modules_of(key)[1:-1, 1:-1] for sheet in SHEETS for key in sheet.ids]
    apart = [
        int(np.sum(one != np.rot90(other, turn)))
        for n, one in enumerate(inside)
        for other in inside[n + 1 :]
        for turn in range(4)
    ]

    # One wrong bit can be put right if any two differ in at least three: R. W. Hamming,
    # Error detecting and error correcting codes, 1950.
    assert min(apart) >= 3
    assert dictionary().maxCorrectionBits == 1


def test_no_marker_belongs_to_two_sheets():
    ids = [key for sheet in SHEETS for key in sheet.ids]

    assert len(set(ids)) == len(ids) == 12
    assert all(sheet_of(key).first_id <= key for key in ids)
    assert sheet_of(49) is None


@pytest.mark.parametrize(
    ("name", "width", "height"),
    # ISO 216: A4 is 210 mm × 297 mm. ANSI/ASME Y14.1: size A is 8.5 in × 11 in,
    # × 25.4 = 215.9 mm × 279.4 mm.
    [("A4", 210.0, 297.0), ("Letter", 215.9, 279.4)],
)
def test_paper_has_its_standard_size(name, width, height):
    sheet = next(sheet for sheet in SHEETS if sheet.name == name)

    assert (sheet.width, sheet.height) == (width, height)


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)
def test_markers_have_white_around_them_and_lie_on_paper_printers_reach(sheet):
    left, top, right, bottom = sheet.window
    for key in sheet.ids:
        corners = sheet.corners_mm(key)
        low, high = corners.min(axis=0), corners.max(axis=0)
        assert (low >= 5).all()
        assert (high <= np.array([sheet.width, sheet.height]) - 5).all()
        beside = high[1] + sheet.module <= top or low[1] - sheet.module >= bottom
        assert beside, "the open middle cuts into the white around a marker"
    assert 0 < left < right < sheet.width


def test_a_drawn_marker_is_read_as_itself():
    detector = cv2.aruco.ArucoDetector(dictionary(), cv2.aruco.DetectorParameters())
    for key in (key for sheet in SHEETS for key in sheet.ids):
        black = np.kron(modules_of(key), np.ones((20, 20), bool))
        page = np.pad(np.where(black, 0, 255).astype(np.uint8), 60, constant_values=255)

        _, ids, _ = detector.detectMarkers(page)

        assert ids.ravel().tolist() == [key]
