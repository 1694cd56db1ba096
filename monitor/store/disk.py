"""Files that are whole or not there: written aside, synced, then given their name."""

import errno
import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from monitor.errors import StoreUnavailable


def write_through(path: Path, content: bytes | Iterable[bytes]) -> None:
    """Write a file so that after a power cut it is there whole, or as it was.

    Raises
    ------
    StoreUnavailable : the disk is full or read-only; nothing was changed
    """
    pieces = [content] if isinstance(content, bytes) else content
    aside = path.with_name(path.name + ".part")
    with said_in_words(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        with aside.open("wb") as file:
            for piece in pieces:
                file.write(piece)
            file.flush()
            os.fsync(file.fileno())
        aside.replace(path)
        sync_folder(path.parent)


def sync_folder(folder: Path) -> None:
    """Bring the names in a folder to the disk."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def said_in_words(path: Path) -> Iterator[None]:
    """Turn trouble of the disk into a sentence."""
    try:
        yield
    except OSError as error:
        why = "the disk is full" if error.errno == errno.ENOSPC else error.strerror
        raise StoreUnavailable(f"{path} can not be written: {why}.") from error
