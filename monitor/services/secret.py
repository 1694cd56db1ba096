"""Secrets of this installation that it makes for itself."""

import os
import secrets
from pathlib import Path


def own_secret(folder: Path, name: str) -> bytes:
    """32 random bytes; made once, readable by the user of this program only.

    Deleting the file ends every address that was signed with it.
    """
    path = folder / name
    if not path.exists():
        _make(path)
    return path.read_bytes()


def _make(path: Path) -> None:
    """Written aside first: a process that is killed leaves no empty secret."""
    aside = path.with_name(f"{path.name}.{secrets.token_hex(4)}")
    handle = os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(secrets.token_bytes(32))
        file.flush()
        os.fsync(file.fileno())
    try:
        path.hardlink_to(aside)
    except FileExistsError:
        pass  # another process was quicker; its secret holds
    finally:
        aside.unlink()
