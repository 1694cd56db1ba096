"""Photographs as files, each under the SHA-256 of its bytes.

A photograph arrives in pieces. The pieces gather in one file beside the others; only
when its hash is the promised one is it written through to the disk and given its final
name, so a name in the folder always stands for whole and unchanged bytes. A row that
points to a photograph is written after that, never before.
"""

import errno
import hashlib
import os
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from uuid import uuid4

from monitor.errors import InvalidInput, NotFound, StoreUnavailable

_SHA256 = re.compile(r"[0-9a-f]{64}")
_READ_AT_ONCE = 1 << 20


class PhotoFiles:
    """The folder of photographs.

    Parameters
    ----------
    folder : made when the first piece arrives
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def holds(self, sha256: str) -> bool:
        """Whether the photograph is here, whole."""
        return self.path(sha256).is_file()

    def path(self, sha256: str) -> Path:
        """Where the photograph is or would be.

        Raises
        ------
        InvalidInput : this is no SHA-256
        """
        name = _checked(sha256)
        return self._folder / name[:2] / name

    def read(self, sha256: str) -> bytes:
        """The bytes of a photograph.

        Raises
        ------
        NotFound : it is not here
        """
        try:
            return self.path(sha256).read_bytes()
        except FileNotFoundError:
            raise NotFound("photograph", sha256) from None

    def arrived(self, sha256: str) -> int:
        """How many bytes of an unfinished photograph are here."""
        try:
            return self._part(sha256).stat().st_size
        except FileNotFoundError:
            return 0

    def add_piece(self, sha256: str, start: int, piece: bytes) -> int:
        """Write a piece that begins at byte `start`; how many bytes are here then.

        A piece that was here already is written over itself; a piece beyond the end is
        left out, so that no hole can come about.
        """
        part = self._part(sha256)
        if start > self.arrived(sha256):
            return self.arrived(sha256)
        with _translated(), _opened(part, os.O_RDWR | os.O_CREAT) as handle:
            os.pwrite(handle, piece, start)
        return self.arrived(sha256)

    def first_bytes(self, sha256: str, count: int) -> bytes:
        """The beginning of an unfinished or whole photograph."""
        final = self.path(sha256)
        for path in (final, self._part(sha256), final):  # named in between
            with suppress(FileNotFoundError), path.open("rb") as file:
                return file.read(count)
        return b""

    def settle(self, sha256: str) -> bool:
        """Give an arrived photograph its final name; False if its bytes are others.

        Bytes with another hash are thrown away: they have to be sent again. Of two that
        settle the same photograph at once, one finds it done.
        """
        part, final = self._part(sha256), self.path(sha256)
        if _hash_of(part) != sha256:
            part.unlink(missing_ok=True)
            return self.holds(sha256)
        try:
            self._name(part, final)
        except StoreUnavailable:
            if not self.holds(sha256):
                raise
        return True

    def copy(self, sha256: str, name: str) -> bytes | None:
        """A smaller copy that was made before, None if there is none."""
        try:
            return self._copy(sha256, name).read_bytes()
        except FileNotFoundError:
            return None

    def keep_copy(self, sha256: str, name: str, body: bytes) -> None:
        """Keep a smaller copy; it can be made anew at any time."""
        path = self._copy(sha256, name)
        with _translated():
            path.parent.mkdir(parents=True, exist_ok=True)
            draft = path.with_name(f"{path.name}.{uuid4().hex}")
            draft.write_bytes(body)
            draft.replace(path)

    def _copy(self, sha256: str, name: str) -> Path:
        if not re.fullmatch(r"[a-z]+", name):
            raise InvalidInput(f"“{name[:20]}” is no size of a copy.", field="size")
        return self._folder / "copies" / name / f"{_checked(sha256)}.jpg"

    def forget_part(self, sha256: str) -> None:
        """Throw away what arrived of an unfinished photograph."""
        self._part(sha256).unlink(missing_ok=True)

    def is_whole(self, sha256: str) -> bool:
        """Whether the photograph is here and its bytes have that hash."""
        return _hash_of(self.path(sha256)) == sha256

    def take_copy(self, sha256: str, source: Path) -> None:
        """Bring a photograph here from another folder, whole or not at all.

        Raises
        ------
        StoreUnavailable : the source holds other bytes, or the disk is full
        """
        part = self._part(sha256)
        with _translated():
            part.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(source, part)
        if not self.settle(sha256):
            raise StoreUnavailable(f"The copy of the photograph {sha256} is broken.")

    def set_aside(self, sha256: str) -> None:
        """Take broken bytes out of the way; they stay readable for a rescue."""
        path = self.path(sha256)
        if path.exists():
            path.replace(path.with_name(f"{path.name}.broken"))

    def _name(self, part: Path, final: Path) -> None:
        with _translated():
            final.parent.mkdir(parents=True, exist_ok=True)
            with _opened(part, os.O_RDONLY) as handle:
                os.fsync(handle)
            part.replace(final)
            for folder in (final.parent, self._folder):
                with _opened(folder, os.O_RDONLY) as handle:
                    os.fsync(handle)

    def _part(self, sha256: str) -> Path:
        return self._folder / "arriving" / _checked(sha256)


def _checked(sha256: str) -> str:
    if not _SHA256.fullmatch(sha256):
        raise InvalidInput(
            f"“{sha256[:80]}” is no SHA-256 in 64 small hexadecimal digits.",
            field="sha256",
        )
    return sha256


def _hash_of(path: Path) -> str:
    digest = hashlib.sha256()
    try:
        with path.open("rb") as file:
            while block := file.read(_READ_AT_ONCE):
                digest.update(block)
    except FileNotFoundError:
        return ""
    return digest.hexdigest()


@contextmanager
def _opened(path: Path, flags: int) -> Iterator[int]:
    if flags & os.O_CREAT:
        path.parent.mkdir(parents=True, exist_ok=True)
    handle = os.open(path, flags, 0o640)
    try:
        yield handle
    finally:
        os.close(handle)


@contextmanager
def _translated() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        why = "the disk is full" if error.errno == errno.ENOSPC else str(error.strerror)
        raise StoreUnavailable(
            f"The photograph can not be kept: {why}. Nothing was written; it stays on "
            "the device until there is room.",
        ) from error
