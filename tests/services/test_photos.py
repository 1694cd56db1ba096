"""Photographs arrive whole or not at all."""

import hashlib
import os
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from monitor.errors import InvalidInput, NotFound, StoreUnavailable
from monitor.services.recording.photos import (
    Piece,
    arrival_of,
    media_type_of,
    take_piece,
)
from monitor.store.photos import PhotoFiles

JPEG = b"\xff\xd8\xff\xe0" + bytes(range(256)) * 9
MOST = 1_000_000


def sha(body: bytes) -> str:
    return hashlib.sha256(body).hexdigest()


def sent(files, body, start, stop):
    piece = Piece(sha(body), start, len(body), body[start:stop])
    return take_piece(files, piece, most_bytes=MOST)


@pytest.fixture
def files(tmp_path):
    return PhotoFiles(tmp_path / "photos")


def test_the_last_piece_makes_a_photograph_whole(files):
    first = sent(files, JPEG, 0, 1000)
    last = sent(files, JPEG, 1000, len(JPEG))

    assert (first.have, first.is_whole) == (1000, False)
    assert (last.have, last.is_whole) == (len(JPEG), True)
    assert files.read(sha(JPEG)) == JPEG


def test_an_unfinished_photograph_is_not_held(files):
    sent(files, JPEG, 0, 1000)

    assert not files.holds(sha(JPEG))
    with pytest.raises(NotFound):
        files.read(sha(JPEG))
    assert arrival_of(files, sha(JPEG)).have == 1000


def test_a_piece_beyond_the_end_leaves_no_hole(files):
    sent(files, JPEG, 0, 1000)
    skipped = sent(files, JPEG, 1500, 2000)

    assert skipped.have == 1000


def test_a_photograph_whose_server_died_after_its_last_byte_is_made_whole(files):
    files.add_piece(sha(JPEG), 0, JPEG)  # all bytes are here, the name is not
    assert arrival_of(files, sha(JPEG)).have == len(JPEG)

    again = sent(files, JPEG, len(JPEG), len(JPEG))

    assert again.is_whole
    assert files.read(sha(JPEG)) == JPEG


def test_an_empty_piece_elsewhere_is_refused(files):
    with pytest.raises(InvalidInput, match="0 bytes"):
        sent(files, JPEG, 100, 100)


def test_of_two_that_finish_a_photograph_at_once_neither_is_refused(files):
    bodies = [JPEG + bytes([n]) for n in range(40)]

    def finish(body):
        return sent(files, body, 0, len(body)).is_whole or files.holds(sha(body))

    with ThreadPoolExecutor(4) as hands:
        answers = list(hands.map(finish, [body for body in bodies for _ in range(4)]))

    assert all(answers)
    assert all(files.is_whole(sha(body)) for body in bodies)


def test_bytes_that_are_not_those_promised_are_thrown_away(files):
    promised, other = JPEG, JPEG[:-1] + b"\x00"
    assert promised != other
    piece = Piece(sha(promised), 0, len(promised), other)

    with pytest.raises(InvalidInput, match="other bytes"):
        take_piece(files, piece, most_bytes=MOST)

    assert arrival_of(files, sha(promised)).have == 0
    assert sent(files, promised, 0, len(promised)).is_whole


@pytest.mark.parametrize("body", [b"%PDF-1.7 not a picture", b"MZ\x90\x00", b"<svg/>"])
def test_a_file_that_is_no_photograph_is_refused(files, body):
    with pytest.raises(InvalidInput, match="no photograph"):
        sent(files, body, 0, len(body))


def test_a_photograph_beyond_the_limit_is_refused_before_its_bytes_are_kept(files):
    piece = Piece(sha(JPEG), 0, MOST + 1, JPEG)

    with pytest.raises(InvalidInput, match="Send a smaller copy"):
        take_piece(files, piece, most_bytes=MOST)
    assert arrival_of(files, sha(JPEG)).have == 0


@pytest.mark.parametrize("name", ["../../etc/passwd", "A" * 64, "", "0" * 63])
def test_a_name_that_is_no_hash_never_becomes_a_path(files, name):
    with pytest.raises(InvalidInput):
        files.path(name)


@pytest.mark.parametrize(
    ("head", "expected"),
    [
        # First bytes by ISO/IEC 10918-1, ISO/IEC 15948, RFC 9649, ISO/IEC 23008-12.
        (b"\xff\xd8\xff\xe1", "image/jpeg"),
        (b"\x89PNG\r\n\x1a\n", "image/png"),
        (b"RIFF\x24\x00\x00\x00WEBPVP8 ", "image/webp"),
        (b"\x00\x00\x00\x18ftypheic", "image/heic"),
        (b"RIFF\x24\x00\x00\x00WAVEfmt ", ""),
        (b"\x00\x00\x00\x18ftypisom", ""),
        (b"", ""),
    ],
)
def test_a_picture_is_known_by_its_first_bytes(head, expected):
    assert media_type_of(head) == expected


def test_a_full_disk_is_said_in_words_and_leaves_no_photograph(files, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("monitor.store.photos.os.pwrite", full)

    with pytest.raises(StoreUnavailable, match="the disk is full"):
        sent(files, JPEG, 0, len(JPEG))
    assert not files.holds(sha(JPEG))


def test_the_bytes_are_on_the_disk_before_the_photograph_has_its_name(
    files, monkeypatch
):
    done, fsync, replace = [], os.fsync, Path.replace

    def noting_fsync(handle):
        done.append("fsync")
        fsync(handle)

    def noting_replace(path, target):
        done.append("rename")
        return replace(path, target)

    monkeypatch.setattr(os, "fsync", noting_fsync)
    monkeypatch.setattr(Path, "replace", noting_replace)

    sent(files, JPEG, 0, len(JPEG))

    assert done == ["fsync", "rename", "fsync", "fsync"]


@settings(max_examples=40)
@given(data=st.data())
def test_pieces_in_any_order_and_number_give_the_same_photograph(
    data, tmp_path_factory
):
    files = PhotoFiles(tmp_path_factory.mktemp("photos"))
    starts = st.integers(0, len(JPEG) - 1)
    for start in data.draw(st.lists(starts, max_size=12)):
        size = data.draw(st.integers(1, 700))
        sent(files, JPEG, start, start + size)
    while not (arrival := arrival_of(files, sha(JPEG))).is_whole:
        sent(files, JPEG, arrival.have, arrival.have + 500)

    assert files.read(sha(JPEG)) == JPEG
