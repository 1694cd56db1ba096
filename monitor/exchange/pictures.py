"""Opening photographs from strangers: bounded, upright, and copies without secrets."""

import io
import struct
from dataclasses import dataclass
from datetime import date

import numpy as np
import pillow_heif
from numpy.typing import NDArray
from PIL import ExifTags, Image, ImageOps

from monitor.errors import InvalidInput

MOST_PIXELS = {"JPEG": 250_000_000, "": 80_000_000}
"""A JPEG is opened at a part of its size; the others have to be opened whole."""

MEASURED_PX = 4000
"""Longer side at which a photograph is measured: markers lose nothing by it."""

Image.MAX_IMAGE_PIXELS = None  # the sizes are looked at here, in words
pillow_heif.register_heif_opener()

_BROKEN = (
    OSError, SyntaxError, ValueError, EOFError, struct.error, RuntimeError, KeyError,
    IndexError, TypeError, OverflowError,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Facts:
    """What a photograph says of itself.

    Attributes
    ----------
    width, height : upright, as it was taken [px]
    camera_on : day by the camera's own clock, None if it says none
    focal_35_mm : 35 mm equivalent, None if it does not say
    has_place : whether it says where it was taken
    """

    width: int
    height: int
    camera_on: date | None
    focal_35_mm: float | None
    has_place: bool


@dataclass(frozen=True, slots=True)
class Picture:
    """An opened photograph, upright; colours red, green, blue."""

    facts: Facts
    pixels: NDArray[np.uint8]

    @property
    def grey(self) -> NDArray[np.uint8]:
        """Luma of ITU-R BT.601, as for JPEG."""
        weights = np.array([0.299, 0.587, 0.114], np.float32)
        return np.asarray(np.rint(self.pixels @ weights), np.uint8)


def facts_of(body: bytes) -> Facts:
    """What a photograph says of itself, without opening its pixels.

    Raises
    ------
    InvalidInput : it is no photograph, or has impossibly many pixels
    """
    try:
        with Image.open(io.BytesIO(body)) as image:
            return _facts(image)
    except _BROKEN as error:
        raise _unreadable() from error


def open_picture(body: bytes, *, longest_px: int = MEASURED_PX) -> Picture:
    """The pixels, upright, made smaller if they are more than that.

    Raises
    ------
    InvalidInput : it can not be opened, or has impossibly many pixels
    """
    try:
        with Image.open(io.BytesIO(body)) as image:
            facts = _facts(image)
            return Picture(facts, np.asarray(_upright(image, longest_px)))
    except _BROKEN as error:
        raise _unreadable() from error


def small_copy(body: bytes, *, longest_px: int, quality: int = 80) -> bytes:
    """A JPEG of the pixels alone: no place, no camera, no other words.

    Raises
    ------
    InvalidInput : as `open_picture`
    """
    return as_jpeg(open_picture(body, longest_px=longest_px).pixels, quality=quality)


def as_jpeg(pixels: NDArray[np.uint8], *, quality: int = 80) -> bytes:
    """Pixels as a JPEG (ISO/IEC 10918-1)."""
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", quality=quality, optimize=True)
    return out.getvalue()


def camera_doubt(camera_on: date | None, looked_on: date | None) -> str:
    """In words, where the camera's clock can not be right; empty if nothing speaks.

    A photograph is of the day of the look it came with; a camera's own date is shown,
    never taken (common practice: clocks of cameras are often wrong).
    """
    if camera_on is None or looked_on is None or abs(camera_on - looked_on).days <= 1:
        return ""
    said = f"{camera_on.day} {camera_on:%B %Y}"
    way = "after" if camera_on > looked_on else "before"
    return (
        f"The camera dates it {said}, {abs((camera_on - looked_on).days)} days {way} "
        "the look it came with. The day of the look is kept."
    )


def _facts(image: Image.Image) -> Facts:
    width, height = image.size
    most = MOST_PIXELS.get(image.format or "", MOST_PIXELS[""])
    if width * height > most:
        raise InvalidInput(
            f"The photograph unfolds to {width} × {height} pixels; up to "
            f"{most / 1e6:.0f} million are opened. Its bytes are kept as they came.",
            field="photo",
            code="pho-006",
        )
    exif = image.getexif()
    inner = exif.get_ifd(ExifTags.IFD.Exif)
    if exif.get(ExifTags.Base.Orientation, 1) in {5, 6, 7, 8}:
        width, height = height, width
    return Facts(
        width,
        height,
        _day(inner.get(ExifTags.Base.DateTimeOriginal)),
        _focal(inner.get(ExifTags.Base.FocalLengthIn35mmFilm)),
        bool(exif.get_ifd(ExifTags.IFD.GPSInfo)),
    )


def _upright(image: Image.Image, longest_px: int) -> Image.Image:
    image.draft("RGB", (longest_px, longest_px))
    whole = ImageOps.exif_transpose(image).convert("RGB")
    if max(whole.size) > longest_px:
        whole.thumbnail((longest_px, longest_px), Image.Resampling.LANCZOS)
    return whole


def _day(text: object) -> date | None:
    """From “2031:05:14 12:00:00”; a camera that does not know writes zeros."""
    try:
        return date.fromisoformat(str(text)[:10].replace(":", "-"))
    except ValueError:
        return None


def _focal(value: object) -> float | None:
    try:
        found = float(str(value))
    except ValueError:
        return None
    return found if 8 <= found <= 400 else None


def _unreadable() -> InvalidInput:
    return InvalidInput(
        "This photograph can not be opened: it is broken off or no picture. Its bytes "
        "are kept as they came.",
        field="photo",
        code="pho-005",
    )
