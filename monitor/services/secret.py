"""Secrets of this installation that it makes for itself."""

import os
import secrets
from pathlib import Path


def own_secret(folder: Path, name: str) -> bytes:
    """32 random bytes; made once, readable by the user of this program only.

    Deleting the file ends every address that was signed with it.
    """
    path = folder / name
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return path.read_bytes()
    with os.fdopen(handle, "wb") as file:
        file.write(secrets.token_bytes(32))
    return path.read_bytes()
