"""Photographs looked at in turn: still the bytes that were sent, or mended from a copy.

A thirtieth of the photographs is hashed each day, chosen by the beginning of their
hash, so that every one has its turn within thirty days whatever happens in between.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from monitor.store import Session, records
from monitor.store.ledger_check import Broken
from monitor.store.photos import PhotoFiles

DAYS_OF_A_ROUND = 30


@dataclass(frozen=True, slots=True)
class Fixity:
    """What a look at photographs found.

    Attributes
    ----------
    looked_at : how many files
    mended : hashes of those that were brought back from the second copy
    lost : hashes of those that no copy holds whole
    """

    looked_at: int
    mended: tuple[str, ...]
    lost: tuple[str, ...]


def photo_hashes(session: Session) -> list[str]:
    """Hash of every photograph in the record, each once."""
    return sorted({photo.sha256 for photo in records.PHOTOS.all(session)})


def turn_of(sha256: str) -> int:
    """On which day of a round a photograph is looked at, from 0 to 29."""
    return int(sha256[:8], 16) % DAYS_OF_A_ROUND


def due_today(hashes: Sequence[str], today: date) -> list[str]:
    """The photographs whose turn it is."""
    turn = today.toordinal() % DAYS_OF_A_ROUND
    return [sha256 for sha256 in hashes if turn_of(sha256) == turn]


def broken_photo(files: PhotoFiles, sha256: str) -> Iterator[Broken]:
    """What is wrong with one photograph."""
    if not files.holds(sha256):
        yield Broken("photograph", sha256, "its file is gone.")
    elif not files.is_whole(sha256):
        yield Broken("photograph", sha256, "its bytes are no longer those taken in.")


def look_at(
    hashes: Sequence[str], files: PhotoFiles, copies: Sequence[PhotoFiles]
) -> Fixity:
    """Hash these photographs; bring broken ones back from the first whole copy.

    A photograph that no copy holds whole is set aside, so that nobody is shown it as
    if it were good.
    """
    mended, lost = [], []
    for sha256 in hashes:
        if not list(broken_photo(files, sha256)):
            continue
        whole = next((copy for copy in copies if copy.is_whole(sha256)), None)
        if whole is None:
            files.set_aside(sha256)
            lost.append(sha256)
        else:
            files.take_copy(sha256, whole.path(sha256))
            mended.append(sha256)
    return Fixity(len(hashes), tuple(mended), tuple(lost))
