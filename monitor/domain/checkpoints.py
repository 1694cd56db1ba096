"""What the ledger was at one moment, small enough to leave the house.

A checkpoint kept by someone else makes rewriting the past impossible to hide: the
ledger of today must begin with the ledger of the checkpoint. The fingerprints (six
hexadecimal digits of each leaf hash) only help to name the first entry that differs;
size and root alone decide.
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
    """

    head: TreeHead
    made_at: str
    origin: str
    version: str
    fingerprints: str = ""

    def of_entries(self) -> tuple[str, ...]:
        """The fingerprint of each entry."""
        step, text = FINGERPRINT_DIGITS, self.fingerprints
        return tuple(text[at : at + step] for at in range(0, len(text), step))


def to_text(checkpoint: Checkpoint) -> str:
    """JSON of a checkpoint."""
    said = {
        "format": FORMAT,
        "origin": checkpoint.origin,
        "size": checkpoint.head.size,
        "root": checkpoint.head.root,
        "hash": "SHA-256, RFC 6962 section 2.1",
        "made_at": checkpoint.made_at,
        "program": f"underprop {checkpoint.version}",
        "signature": "none: keep a copy where nobody of this house can change it",
        "fingerprints": checkpoint.fingerprints,
    }
    return json.dumps(said, indent=1, ensure_ascii=False) + "\n"


def from_text(text: str) -> Checkpoint:
    """Read a checkpoint.

    Raises
    ------
    InvalidInput : this is none
    """
    try:
        said = json.loads(text)
        head = TreeHead(int(said["size"]), str(said["root"]))
        is_ours = said["format"] == FORMAT and len(bytes.fromhex(head.root)) == 32
        program = str(said.get("program", "")).removeprefix("underprop ")
        marks = str(said.get("fingerprints", ""))
        found = Checkpoint(
            head, str(said["made_at"]), str(said["origin"]), program, marks
        )
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise _refused(str(error)) from error
    if not is_ours or head.size < 0:
        raise _refused("another format")
    return found


def _refused(why: str) -> InvalidInput:
    return InvalidInput(
        f"This is no checkpoint ({why[:100]}); expected the JSON that "
        "“underprop checkpoint” writes.",
        code="vfy-001",
    )
