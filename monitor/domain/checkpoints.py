"""What the ledger was at one moment, small enough to leave the house.

A checkpoint kept by someone else makes rewriting the past impossible to hide: the
ledger of today must begin with the ledger of the checkpoint. The fingerprints (six
hexadecimal digits of each leaf hash) only help to name the first entry that differs;
size and root alone decide. A signature says which installation made it; it does not
show that the record is true, and whoever holds the key can sign anything, so the copy
outside the house is what counts.
"""

import json
from dataclasses import dataclass

from monitor.domain.ledger_tree import TreeHead
from monitor.errors import InvalidInput

FORMAT = "underprop checkpoint 1"
FINGERPRINT_DIGITS = 6


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """A head of the ledger with its circumstances.

    Attributes
    ----------
    made_at : ISO 8601, by the clock of the server
    origin : which record it is of
    version : of the program that made it
    fingerprints : six digits an entry, one after the other; may be empty
    public_key, signature : Ed25519 (RFC 8032), hexadecimal; empty if it is not signed
    """

    head: TreeHead
    made_at: str
    origin: str
    version: str
    fingerprints: str = ""
    public_key: str = ""
    signature: str = ""

    def signed_text(self) -> bytes:
        """What is signed: a line each for the format, record, size, root and time."""
        said = (FORMAT, self.origin, self.head.size, self.head.root, self.made_at)
        return "".join(f"{one}\n" for one in said).encode()

    def of_entries(self) -> tuple[str, ...]:
        """The fingerprint of each entry."""
        step, text = FINGERPRINT_DIGITS, self.fingerprints
        return tuple(text[at : at + step] for at in range(0, len(text), step))


def to_text(checkpoint: Checkpoint) -> str:
    """JSON of a checkpoint."""
    said = {**_said(checkpoint), "fingerprints": checkpoint.fingerprints}
    return json.dumps(said, indent=1, ensure_ascii=False) + "\n"


def to_line(checkpoint: Checkpoint) -> str:
    """The same in one line without fingerprints, short enough for a letter."""
    return json.dumps(_said(checkpoint), ensure_ascii=False)


def _said(checkpoint: Checkpoint) -> dict[str, object]:
    return {
        "format": FORMAT,
        "origin": checkpoint.origin,
        "size": checkpoint.head.size,
        "root": checkpoint.head.root,
        "hash": "SHA-256, RFC 6962 section 2.1",
        "made_at": checkpoint.made_at,
        "program": f"underprop {checkpoint.version}",
        "public_key": checkpoint.public_key,
        "signature": checkpoint.signature,
    }


def from_text(text: str) -> Checkpoint:
    """Read a checkpoint, also from the middle of a letter whose lines were broken.

    Raises
    ------
    InvalidInput : this is none
    """
    try:
        said = json.loads(" ".join(text[text.find("{") : text.rfind("}") + 1].split()))
        head = TreeHead(int(said["size"]), str(said["root"]))
        is_ours = said["format"] == FORMAT and len(bytes.fromhex(head.root)) == 32
        program = str(said.get("program", "")).removeprefix("underprop ")
        marks = str(said.get("fingerprints", ""))
        found = Checkpoint(
            head, str(said["made_at"]), str(said["origin"]), program, marks,
            *_signature(said),
        )  # fmt: skip
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise _refused(str(error)) from error
    if not is_ours or head.size < 0:
        raise _refused("another format")
    return found


def _signature(said: dict[str, str]) -> tuple[str, str]:
    """Key and signature; older checkpoints had none and said so in words."""
    key = str(said.get("public_key", ""))
    return (key, str(said["signature"])) if key else ("", "")


def _refused(why: str) -> InvalidInput:
    return InvalidInput(
        f"This is no checkpoint ({why[:100]}); expected the JSON that "
        "“underprop checkpoint” writes.",
        code="vfy-001",
    )
