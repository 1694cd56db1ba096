"""Photographs: taken in piece by piece, and tied to what they show."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from monitor.clock import new_id
from monitor.domain.inspections import Photo
from monitor.errors import InvalidInput
from monitor.services.recording.ledger_values import values_of_all
from monitor.store import Session, records
from monitor.store.ledger import append
from monitor.store.photos import PhotoFiles

LARGEST_PIECE = 1_000_000
"""Of one request. [byte]"""

_HEAD = 16
_HEIF_BRANDS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1")


@dataclass(frozen=True, slots=True)
class Piece:
    """Some bytes of a photograph.

    Attributes
    ----------
    sha256 : of the whole photograph
    start : number of the first byte of the piece
    total : size of the whole photograph [byte]
    """

    sha256: str
    start: int
    total: int
    body: bytes


@dataclass(frozen=True, slots=True)
class Arrival:
    """How much of a photograph is here. [byte]"""

    have: int
    is_whole: bool


@dataclass(frozen=True, slots=True)
class PhotoCommand:
    """A photograph to be tied to an inspection.

    Attributes
    ----------
    member : code, empty for the whole support
    taken_on : None if the device does not know
    """

    sha256: str
    caption: str = ""
    member: str = ""
    taken_on: date | None = None


def arrival_of(files: PhotoFiles, sha256: str) -> Arrival:
    """How much of that photograph is here."""
    if files.holds(sha256):
        return Arrival(files.path(sha256).stat().st_size, is_whole=True)
    return Arrival(files.arrived(sha256), is_whole=False)


def take_piece(files: PhotoFiles, piece: Piece, *, most_bytes: int) -> Arrival:
    """Take in one piece; the last one makes the photograph whole.

    An empty piece at the end asks for that again, after the power went just before.

    Raises
    ------
    InvalidInput : it is too large, is no photograph, or is another than was said
    """
    _refuse_impossible(piece, most_bytes)
    if files.holds(piece.sha256):
        return arrival_of(files, piece.sha256)
    have = files.add_piece(piece.sha256, piece.start, piece.body)
    if have >= min(_HEAD, piece.total):
        _refuse_no_photograph(files, piece.sha256)
    if have < piece.total:
        return Arrival(have, is_whole=False)
    if have > piece.total or not files.settle(piece.sha256):
        files.forget_part(piece.sha256)
        raise InvalidInput(
            "The photograph arrived with other bytes than it was sent with. It is sent "
            "again from its beginning.",
            field="photo",
            code="pho-002",
        )
    return Arrival(have, is_whole=True)


def missing(files: PhotoFiles, wanted: Iterable[PhotoCommand]) -> tuple[str, ...]:
    """Which of these photographs are not here, whole."""
    return tuple(p.sha256 for p in wanted if not files.holds(p.sha256))


def attach(
    session: Session,
    files: PhotoFiles,
    wanted: Sequence[PhotoCommand],
    to: "Subject",
    *,
    by: tuple[str, datetime],
) -> list[Photo]:
    """Write a row for each photograph, with one ledger entry.

    Parameters
    ----------
    by : actor and instant
    """
    actor, now = by
    photos = [
        Photo(
            id=new_id(),
            support_id=to.support_id,
            inspection_id=to.inspection_id,
            member_id=to.member_ids.get(photo.member.casefold()),
            sha256=photo.sha256,
            media_type=media_type_of(files.first_bytes(photo.sha256, _HEAD)),
            size_bytes=files.path(photo.sha256).stat().st_size,
            taken_on=photo.taken_on,
            caption=photo.caption.strip(),
            recorded_at=now,
        )
        for photo in wanted
    ]
    records.PHOTOS.add(session, photos)
    if photos:
        change = "photos added", f"support {to.code}", values_of_all(photos)
        append(session, [change], actor=actor, now=now)
    return photos


def once_each(photos: Iterable[Photo]) -> list[Photo]:
    """The rows to show: of what was set aside and recorded later, that of the look."""
    rows = list(photos)
    in_looks = {(p.support_id, p.sha256) for p in rows if p.inspection_id}
    return [
        p for p in rows if p.inspection_id or (p.support_id, p.sha256) not in in_looks
    ]


@dataclass(frozen=True, slots=True)
class Subject:
    """What photographs show.

    Attributes
    ----------
    code : of the support
    member_ids : by member code in small letters
    """

    code: str
    support_id: UUID
    inspection_id: UUID | None
    member_ids: dict[str, UUID]


def media_type_of(head: bytes) -> str:
    """What kind of picture begins with these bytes, empty if none we take.

    References
    ----------
    .. [1] JPEG: ISO/IEC 10918-1; PNG: ISO/IEC 15948; WebP: RFC 9649; HEIF: ISO/IEC
       23008-12, brands
    """
    if head.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "image/webp"
    if head[4:8] == b"ftyp" and head[8:12] in _HEIF_BRANDS:
        return "image/heic"
    return ""


def _refuse_no_photograph(files: PhotoFiles, sha256: str) -> None:
    if media_type_of(files.first_bytes(sha256, _HEAD)):
        return
    files.forget_part(sha256)
    raise InvalidInput(
        "This file is no photograph: JPEG, PNG, WebP and HEIC are taken.",
        field="photo",
        code="pho-001",
    )


def _refuse_impossible(piece: Piece, most_bytes: int) -> None:
    if piece.total > most_bytes:
        raise InvalidInput(
            f"The photograph has {piece.total / 1e6:.0f} MB; up to "
            f"{most_bytes / 1e6:.0f} MB are taken. Send a smaller copy.",
            field="photo",
            code="pho-003",
        )
    fits = piece.start >= 0 and piece.start + len(piece.body) <= piece.total
    is_empty = not piece.body and piece.start < piece.total
    if is_empty or not fits or len(piece.body) > LARGEST_PIECE:
        raise InvalidInput(
            f"A piece of {len(piece.body)} bytes from byte {piece.start} does not fit "
            f"a photograph of {piece.total} bytes in pieces of up to {LARGEST_PIECE}.",
            field="photo",
            code="pho-004",
        )
