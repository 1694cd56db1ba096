"""The append-only history: canonical bytes, leaf hash and chain.

The leaf hash is SHA-256 over a zero byte and the canonical JSON of the entry, as in
RFC 6962 section 2.1, so that the same leaves can stand in a Merkle tree. The chain
hash is SHA-256 over the previous chain hash and the leaf hash.
"""

import hashlib
import json
from dataclasses import dataclass
from datetime import datetime

START = "0" * 64


@dataclass(frozen=True, slots=True)
class Change:
    """One change: who, when, what.

    Attributes
    ----------
    seq : 1, 2, 3, ... without gaps
    subject : kind and key of what changed, such as "inspection 0190..."
    payload : the change itself, as canonical JSON
    """

    seq: int
    recorded_at: datetime
    actor: str
    action: str
    subject: str
    payload: str


@dataclass(frozen=True, slots=True)
class LedgerEntry:
    """A change with its own hash and the hash that binds it to all before it."""

    change: Change
    leaf_hash: str
    chain_hash: str


def canonical(value: object) -> str:
    """JSON with sorted keys, no spare spaces and no NaN: one text for one value."""
    return json.dumps(
        value,
        sort_keys=True,
        separators=(",", ":"),
        ensure_ascii=False,
        allow_nan=False,
        default=str,
    )


def leaf_hash(change: Change) -> str:
    """Hash of one change, independent of its neighbours."""
    fields = [
        change.seq,
        change.recorded_at.isoformat(),
        change.actor,
        change.action,
        change.subject,
        change.payload,
    ]
    return hashlib.sha256(b"\x00" + canonical(fields).encode()).hexdigest()


def chain_hash(previous: str, leaf: str) -> str:
    """Hash that binds an entry to all before it."""
    return hashlib.sha256(bytes.fromhex(previous) + bytes.fromhex(leaf)).hexdigest()
