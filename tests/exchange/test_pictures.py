"""Photographs from strangers are opened within bounds, upright, and copied clean."""

import io
import struct
import zlib
from datetime import date

import numpy as np
import pillow_heif
import pytest
from PIL import Image

from monitor.errors import InvalidInput
from monitor.exchange.pictures import (
    camera_doubt,
    facts_of,
    open_picture,
    small_copy,
)

TALL = np.zeros((40, 60, 3), np.uint8)
TALL[:20, :30] = (200, 30, 30)


def a_jpeg(*, orientation=1, taken="", focal=None, pixels=TALL) -> bytes:
    exif = Image.Exif()
    exif[0x0112] = orientation
    inner = exif.get_ifd(0x8769)
    if taken:
        inner[0x9003] = taken
    if focal:
        inner[0xA405] = focal
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", exif=exif, quality=95)
    return out.getvalue()


def a_png_of(width: int, height: int) -> bytes:
    """A head that promises many pixels (ISO/IEC 15948), and next to no bytes."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        whole = kind + body
        size = struct.pack(">I", len(body))
        return size + whole + struct.pack(">I", zlib.crc32(whole))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    parts = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(bytes(99)))
    return b"\x89PNG\r\n\x1a\n" + parts + chunk(b"IEND", b"")


def test_a_picture_that_unfolds_without_end_is_refused_unopened():
    with pytest.raises(InvalidInput, match="60000 × 60000 pixels"):
        open_picture(a_png_of(60_000, 60_000))


@pytest.mark.parametrize(
    "body",
    [
        b"", b"eggs, rope", b"\xff\xd8\xff\xe0" + b"bark" * 99, a_jpeg()[:300],
        a_png_of(100, 100), b"RIFF\x24\x00\x00\x00WEBPVP8 " + bytes(20),
        b"\x00\x00\x00\x18ftypheic" + bytes(64),
    ],
)  # fmt: skip
def test_what_is_broken_or_no_picture_is_said_in_words(body):
    with pytest.raises(InvalidInput, match="can not be opened"):
        open_picture(body)


def test_a_picture_taken_on_its_side_comes_upright():
    # EXIF 2.32: orientation 6 is turned by 90° clockwise to be upright.
    body = a_jpeg(orientation=6)

    found = open_picture(body)

    assert (found.facts.width, found.facts.height) == (40, 60)
    assert found.pixels.shape == (60, 40, 3)
    assert found.pixels[5, 35, 0] > 150  # upper left went to the upper right


def test_a_heic_is_opened_and_turned_once(tmp_path):
    path = tmp_path / "p.heic"
    exif = Image.Exif()
    exif[0x0112] = 6
    heif = pillow_heif.from_pillow(
        Image.fromarray(np.repeat(np.repeat(TALL, 4, 0), 4, 1))
    )
    heif.save(path, exif=exif.tobytes())

    found = open_picture(path.read_bytes())

    assert found.pixels.shape == (240, 160, 3)


def test_what_the_camera_says_is_read_and_zeros_say_nothing():
    body = a_jpeg(taken="2031:05:14 12:00:00", focal=26)

    found = facts_of(body)

    assert (found.camera_on, found.focal_35_mm) == (date(2031, 5, 14), 26.0)
    assert facts_of(a_jpeg(taken="0000:00:00 00:00:00")).camera_on is None


def test_a_wrong_camera_clock_is_said_and_the_day_of_the_look_kept():
    said = camera_doubt(date(2010, 1, 1), date(2026, 6, 1))

    # By hand: 16 years of which 2012, 2016, 2020, 2024 are leap, and 151 days.
    assert "1 January 2010, 5995 days before" in said
    assert camera_doubt(date(2026, 6, 1), date(2026, 6, 1)) == ""
    assert camera_doubt(None, date(2026, 6, 1)) == ""


def test_a_copy_is_as_small_as_asked():
    wide = np.zeros((600, 1800, 3), np.uint8)

    copy = small_copy(a_jpeg(pixels=wide), longest_px=480)

    assert Image.open(io.BytesIO(copy)).size == (480, 160)
