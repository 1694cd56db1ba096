"""Signing checkpoints with a key of this installation (Ed25519, RFC 8032).

The key is made once and lies in the data folder. It says which installation made a
checkpoint, so that somebody who gets one by mail can tell it from another's. It is no
guard against this house: the copy outside is.
"""

from dataclasses import replace
from pathlib import Path

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import (
    Ed25519PrivateKey,
    Ed25519PublicKey,
)

from monitor.domain.checkpoints import Checkpoint
from monitor.errors import InvalidInput
from monitor.services.keeping.checkpoints import read_checkpoint
from monitor.services.secret import own_secret

KEY_FILE = "checkpoint.key"


def sign(checkpoint: Checkpoint, folder: Path) -> Checkpoint:
    """The checkpoint with the signature of the installation of that data folder."""
    folder.mkdir(parents=True, exist_ok=True)
    key = Ed25519PrivateKey.from_private_bytes(own_secret(folder, KEY_FILE))
    public = key.public_key().public_bytes_raw().hex()
    signature = key.sign(checkpoint.signed_text()).hex()
    return replace(checkpoint, public_key=public, signature=signature)


def is_signed_rightly(checkpoint: Checkpoint) -> bool:
    """Whether the signature is that of the key the checkpoint names."""
    try:
        key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(checkpoint.public_key))
        key.verify(bytes.fromhex(checkpoint.signature), checkpoint.signed_text())
    except (InvalidSignature, ValueError):
        return False
    return True


def signed_checkpoint(path: Path) -> Checkpoint:
    """A checkpoint from its file; an older one may have no signature.

    Raises
    ------
    InvalidInput : it is none, or its signature is not that of the key it names
    """
    found = read_checkpoint(path)
    if found.public_key and not is_signed_rightly(found):
        raise InvalidInput(
            f"The checkpoint {path} was changed: it is not signed by the key "
            f"{found.public_key} that it names.",
            code="vfy-004",
        )
    return found
