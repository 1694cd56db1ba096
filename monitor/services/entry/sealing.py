"""Secrets that have to be read again lie sealed: a copy of the database opens none.

AES-256-GCM (NIST SP 800-38D) under a key that lies in the data folder and not in the
database, so neither in its backups. What is sealed is bound to whose it is: moved to
another account it does not open.
"""

import base64
import secrets
from pathlib import Path
from uuid import UUID

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM

from monitor.services.secret import own_secret

KEY_FILE = "second-factor.secret"
MARK = "sealed1."
"""How it is sealed stands before it, so that another way can follow."""

_NONCE = 12


class Seal:
    """Seals and opens with one key."""

    def __init__(self, key: bytes) -> None:
        self._cipher = AESGCM(key)

    def close(self, secret: str, whose: UUID) -> str:
        """The secret as it may be kept."""
        nonce = secrets.token_bytes(_NONCE)
        sealed = self._cipher.encrypt(nonce, secret.encode(), whose.bytes)
        return MARK + base64.b64encode(nonce + sealed).decode()

    def open(self, kept: str, whose: UUID) -> str:
        """The secret; empty if the key is another, or it was sealed for somebody else.

        What was kept before anything was sealed is returned as it is.
        """
        if not is_sealed(kept):
            return kept
        try:
            whole = base64.b64decode(kept.removeprefix(MARK), validate=True)
            nonce, sealed = whole[:_NONCE], whole[_NONCE:]
            return self._cipher.decrypt(nonce, sealed, whose.bytes).decode()
        except (InvalidTag, ValueError):
            return ""


def is_sealed(kept: str) -> bool:
    """Whether something is kept sealed."""
    return kept.startswith(MARK)


def seal_of(folder: Path) -> Seal:
    """The seal of the installation whose data folder this is; made at its first use."""
    folder.mkdir(parents=True, exist_ok=True)
    return Seal(own_secret(folder, KEY_FILE))
