"""The append-only history: canonical bytes, commitment, leaf hash and chain.

Entries of form 2 (all new ones) are sealed in two steps. What may name a person
(actor, origin, reason, payload) goes into a commitment: SHA-256 over a random salt and
the canonical JSON of it. The leaf hash is SHA-256 over a zero byte and the canonical
JSON of the number, the times, what was done to what, the commitment and the hashes of
the rows written, as in RFC 6962 section 2.1, so that the leaves stand in a Merkle
tree. Without salt and words the commitment still fits the leaf: a name can be erased
and every proof stays valid.

Entries of form 1 have no commitment; their leaf is made of the first six fields.

The chain hash is SHA-256 over the previous chain hash and the leaf hash.
"""

import hashlib
import json
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

START = "0" * 64
PLAIN_FORM, SEALED_FORM = 1, 2


@dataclass(frozen=True, slots=True)
class Change:
    """One change: who, when, what, from where, why.

    Attributes
    ----------
    seq : 1, 2, 3, ... without gaps: the order of the log
    recorded_at : by the clock of the server
    subject : kind and key of what changed, such as "inspection 0190..."
    payload : the change itself, as canonical JSON
    device_at : by the clock of the device that made the entry, if it had one
    origin : from where, such as "pages 127.0.0.1"
    reason : why, as given
    """

    seq: int
    recorded_at: datetime
    actor: str
    action: str
    subject: str
    payload: str
    device_at: datetime | None = None
    origin: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Seal:
    """What binds an entry beside its words.

    Attributes
    ----------
    form : 1 or 2
    rows : canonical JSON of [table, key, hash] for each row written with the entry
    salt : hexadecimal; empty for form 1 and after an erasure
    commitment : hexadecimal; empty for form 1
    """

    form: int = PLAIN_FORM
    rows: str = "[]"
    salt: str = ""
    commitment: str = ""


PLAIN = Seal()


@dataclass(frozen=True, slots=True)
class LedgerEntry:
    """A change with its own hash and the hash that binds it to all before it."""

    change: Change
    leaf_hash: str
    chain_hash: str
    seal: Seal = PLAIN


_ENCODE = json.JSONEncoder(
    sort_keys=True,
    separators=(",", ":"),
    ensure_ascii=False,
    allow_nan=False,
    default=str,
).encode

_QUOTE = json.encoder.encode_basestring


def canonical(value: object) -> str:
    """JSON with sorted keys, no spare spaces and no NaN: one text for one value."""
    return _ENCODE(value)


class Line(NamedTuple):
    """An entry as it is stored: plain values, its times as they were hashed.

    What the fields mean stands with `Change` and `Seal`.
    """

    seq: int
    recorded_at: str
    actor: str
    action: str
    subject: str
    payload: str
    device_at: str | None
    origin: str
    reason: str
    leaf_hash: str
    chain_hash: str
    form: int
    rows: str
    salt: str
    commitment: str


def line_of(change: Change, seal: Seal = PLAIN) -> Line:
    """An entry before it is hashed."""
    c, device = change, change.device_at.isoformat() if change.device_at else None
    said = (c.seq, c.recorded_at.isoformat(), c.actor, c.action, c.subject, c.payload)
    bound = (seal.form, seal.rows, seal.salt, seal.commitment)
    return Line(*said, device, c.origin, c.reason, "", "", *bound)


def leaf_hash(change: Change, seal: Seal = PLAIN) -> str:
    """Hash of one change, independent of its neighbours."""
    return leaf_of(line_of(change, seal))


def leaf_of(line: Line) -> str:
    """The same of an entry as it is stored.

    Written out, not built: verifying asks it of every entry there is.
    """
    seq, at, action, subject = line.seq, line.recorded_at, line.action, line.subject
    if line.form == PLAIN_FORM:
        said = _listed(at, line.actor, action, subject, line.payload)
        text = f"[{seq},{said[1:]}"
    else:
        device = _QUOTE(line.device_at) if line.device_at else "null"
        said = _listed(action, subject, line.commitment, line.rows)
        text = f"[{line.form},{seq},{_QUOTE(at)},{device},{said[1:]}"
    return hashlib.sha256(b"\x00" + text.encode()).hexdigest()


def commitment(change: Change | Line, salt: str) -> str:
    """Salted hash of all that may name a person."""
    return salted(salt, _words(change))


def _words(change: Change | Line) -> str:
    return _listed(change.actor, change.origin, change.reason, change.payload)


def row_hash(salt: str, table: str, key: str, content: str) -> str:
    """Salted hash of one row of the record.

    Parameters
    ----------
    content : canonical JSON of the columns that say something
    """
    return salted(salt, _listed(table, key, content))


def _listed(*texts: str) -> str:
    """Canonical JSON of a list of texts."""
    return f"[{','.join(map(_QUOTE, texts))}]"


def salted(salt: str, text: str) -> str:
    """SHA-256 over salt and text."""
    return hashlib.sha256(bytes.fromhex(salt) + text.encode()).hexdigest()


def chain_hash(previous: str, leaf: str) -> str:
    """Hash that binds an entry to all before it."""
    return hashlib.sha256(bytes.fromhex(previous) + bytes.fromhex(leaf)).hexdigest()


def words_hash(change: Change | Line) -> str:
    """Hash of the words an entry holds now; an erasure says what it left."""
    return salted("", _words(change))


def told(entry: LedgerEntry) -> dict[str, object]:
    """Everything of an entry as plain values, its times as they were hashed."""
    change, seal = entry.change, entry.seal
    return {
        "form": seal.form,
        "seq": change.seq,
        "recorded_at": change.recorded_at.isoformat(),
        "device_at": change.device_at.isoformat() if change.device_at else None,
        "actor": change.actor,
        "origin": change.origin,
        "reason": change.reason,
        "action": change.action,
        "subject": change.subject,
        "payload": change.payload,
        "salt": seal.salt,
        "commitment": seal.commitment,
        "rows": seal.rows,
        "leaf_hash": entry.leaf_hash,
        "chain_hash": entry.chain_hash,
    }
