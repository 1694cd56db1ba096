"""Papers that were issued: their hashes in the ledger, and the answer about a file.

What vouches for a file is its SHA-256 in an entry of the ledger, of which “underprop
proof” gives an inclusion proof. The entry names an owner by id only.
"""

import hashlib
import json
from uuid import UUID

from monitor.domain.ledger import Change
from monitor.errors import InvalidInput, NotFound
from monitor.services.papers.make import Made
from monitor.services.papers.wording import counted, on
from monitor.services.recording.checks import Stamp
from monitor.store import Session, ledger, records

ISSUED = "paper issued"
_DIGITS = frozenset("0123456789abcdef")


def issue(session: Session, made: Made, stamp: Stamp) -> str:
    """Note in the ledger that a paper goes out; its SHA-256."""
    digest = sha256_of(made.pdf)
    said = {
        "kind": made.kind,
        "about": made.about,
        "known_at": made.known_at.isoformat() if made.known_at else None,
        "pages": made.pages,
        "bytes": len(made.pdf),
    }
    ledger.append(
        session, [(ISSUED, subject_of(digest), said)], actor=stamp.actor, now=stamp.now
    )
    return digest


def sha256_of(content: bytes) -> str:
    """Hash of a file, in hexadecimal digits."""
    return hashlib.sha256(content).hexdigest()


def subject_of(digest: str) -> str:
    """How the ledger names a paper with that hash.

    Raises
    ------
    InvalidInput : it is no SHA-256
    """
    digits = "".join(digest.split()).lower()
    if len(digits) != 64 or not set(digits) <= _DIGITS:
        raise InvalidInput(
            "This is no SHA-256 of a file; expected 64 hexadecimal digits.",
            field="paper",
            code="pap-008",
        )
    return f"paper {digits}"


def who_issued(session: Session, digest: str) -> str:
    """What the ledger says of a file with that hash, in a sentence.

    Raises
    ------
    InvalidInput : it is no hash
    NotFound : no such paper was issued here
    """
    subject = subject_of(digest)
    found = [e.change for e in ledger.entries(session, subject=subject)]
    issued = [change for change in found if change.action == ISSUED]
    if not issued:
        raise NotFound(
            "issued paper of SHA-256",
            subject.removeprefix("paper "),
            hint="A single changed byte makes another file, so does printing it anew.",
        )
    return _sentence(session, issued[0])


def _sentence(session: Session, change: Change) -> str:
    said = json.loads(change.payload)
    when = f"{on(change.recorded_at.date())}, {change.recorded_at:%H:%M} UTC"
    begin = f"This file was issued here on {when}: entry no. {change.seq} of the ledger"
    if "kind" not in said:
        return f"{begin}, of which the words were erased."
    known = f", as known at {said['known_at']}" if said["known_at"] else ""
    about = _named(session, said["about"])
    many = counted(said["pages"], "page")
    return f"{begin}, {said['kind']} of {about}{known}, {many}, for {change.actor}."


def _named(session: Session, about: str) -> str:
    """An owner by the name of today."""
    kind, _, key = about.partition(" ")
    if kind != "party":
        return about
    party = records.PARTIES.find(session, id=UUID(key))
    return party.name if party else "an owner"
