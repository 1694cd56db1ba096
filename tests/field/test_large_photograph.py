"""A HEIC of forty megabytes whose camera has a wrong date, from phone to page."""

import io
import struct

import numpy as np
import pillow_heif
import pytest
from PIL import Image

from monitor.store import records
from tests.dashboard.pressing import page_words
from tests.field.phone import a_body, post, put, sha

SIZE = 40_000_000
PIECE = 1_000_000


@pytest.fixture(scope="module")
def photo() -> bytes:
    """Noise, as bark is to a coder, and made heavy by a box of free space.

    Free space is part of any such file (ISO/IEC 14496-12, Free Space Box); noise alone
    of that weight takes a minute to make.
    """
    noise = np.random.default_rng(1).integers(0, 256, (384, 512, 3), np.uint8)
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = "2010:01:01 00:00:12"
    exif.get_ifd(0x8825)[1] = "N"
    out = io.BytesIO()
    heif = pillow_heif.from_pillow(Image.fromarray(noise))
    heif.save(out, quality=90, exif=exif.tobytes())
    body = out.getvalue()
    free = SIZE - len(body)
    return body + struct.pack(">I", free) + b"free" + bytes(free - 8)


def test_it_arrives_is_recorded_and_shown_and_its_date_is_doubted(
    client, context, photo
):
    for start in range(0, SIZE, PIECE):
        answer = put(client, photo, start, start + PIECE)
        assert answer.status_code == 200, answer.text
    answer = post(client, a_body(photos=[photo]))
    assert answer.status_code == 200, answer.text

    with context.store.read_session() as session:
        table = records.PHOTOS.table.c
        (kept,) = records.PHOTOS.all(session, table.sha256 == sha(photo))
    assert (kept.size_bytes, kept.media_type) == (SIZE, "image/heic")
    copy = Image.open(io.BytesIO(client.get(f"/pictures/{kept.id}/small").data))
    assert (copy.format, copy.size, len(copy.getexif())) == ("JPEG", (480, 360), 0)
    words = page_words(client, "/supports/S-0101/photos")
    # By hand: from 1 January 2010 to 1 June 2026 there are 16 years, of which 2012,
    # 2016, 2020 and 2024 are leap, and 151 days.
    assert "The camera dates it 1 January 2010, 5995 days before" in words
    assert "of 1 June 2026" in words


def test_one_beyond_the_limit_is_refused_before_its_bytes_are_kept(client, context):
    heavy = b"\0\0\0\x18ftypheic" + bytes(60_000_000 - 12)

    answer = put(client, heavy, 0, PIECE)

    assert answer.status_code == 422
    assert "60 MB" in answer.json["sentence"]
    assert not list(context.settings.photo_folder.rglob(f"{sha(heavy)}*"))
