"""Erasing a person's name on request: the facts, the chain and every proof stay.

What stands in the place of the name is the same everywhere, so that what one person
read is still known to be of one person. Backups and archives made before keep the name
until they are let go; whoever erases is told so, and a backup that is restored later is
rid of it again (`erasures`).
"""

import json
import secrets
from dataclasses import dataclass
from datetime import datetime

from monitor.errors import Conflict, InvalidInput, NotFound
from monitor.store import Session
from monitor.store.ledger import append, entries
from monitor.store.ledger_check import ERASURE_DONE
from monitor.store.ledger_erase import (
    Name,
    mentions,
    names_somebody,
    redact_entries,
    rename_rows,
)
from monitor.store.models.guards import ERASURE_BEGUN

HOLD = "legal hold"
PLACED, RELEASED = "legal hold placed", "legal hold released"


@dataclass(frozen=True, slots=True)
class Request:
    """Who is to be forgotten, and why that is right.

    Attributes
    ----------
    reason : such as “request of 3 May 2031”
    basis : the law or contract it rests on
    instead : what is to stand in the place of the name, empty for something new
    """

    name: str
    reason: str
    basis: str
    instead: str = ""


@dataclass(frozen=True, slots=True)
class Erased:
    """What was done.

    Attributes
    ----------
    instead : what stands in the place of the name
    mentions : rows whose running text still holds the name
    """

    instead: str
    rows: int
    entries: int
    mentions: tuple[str, ...]


def erase(session: Session, request: Request, *, actor: str, now: datetime) -> Erased:
    """Erase a name from rows and ledger.

    Raises
    ------
    InvalidInput : no reason or no legal basis is given
    NotFound : the record does not name that person
    Conflict : a legal hold forbids it
    """
    told = request.name.strip()
    if not request.reason.strip() or not request.basis.strip():
        raise InvalidInput(
            "Say why, and on which law or contract it rests.", code="era-001"
        )
    if not told or not names_somebody(session, told):
        raise NotFound("person", request.name)
    _refuse_held(session, told)
    instead = request.instead or f"erased person {secrets.token_hex(4)}"
    name = Name(told, instead)
    subject = f"person {name.instead}"
    why = {"reason": request.reason.strip(), "basis": request.basis.strip()}
    append(session, [(ERASURE_BEGUN, subject, why)], actor=actor, now=now)
    rows = rename_rows(session, name)
    left = redact_entries(session, name)
    done = {**why, "left": {str(seq): text for seq, text in left.items()}}
    by = name.instead if actor == told else actor
    append(session, [(ERASURE_DONE, subject, done)], actor=by, now=now)
    still = tuple(f"{table} {key}" for table, key in mentions(session, told))
    return Erased(name.instead, rows, len(left), still)


def place_hold(
    session: Session, name: str, *, reason: str, by: tuple[str, datetime]
) -> None:
    """Forbid the erasure of a name, for a claim or an inquiry."""
    _note(session, PLACED, name, reason, by)


def release_hold(
    session: Session, name: str, *, reason: str, by: tuple[str, datetime]
) -> None:
    """Let a name be erased again.

    Raises
    ------
    NotFound : there is no hold on that name
    """
    if name.strip() not in held_names(session):
        raise NotFound("legal hold on", name)
    _note(session, RELEASED, name, reason, by)


def held_names(session: Session) -> dict[str, str]:
    """Names that must not be erased, with the reason."""
    held: dict[str, str] = {}
    for entry in entries(session, subject=HOLD):
        said = json.loads(entry.change.payload)
        if entry.change.action == PLACED:
            held[said["name"]] = said["reason"]
        else:
            held.pop(said["name"], None)
    return held


def _refuse_held(session: Session, name: str) -> None:
    why = held_names(session).get(name)
    if why is not None:
        raise Conflict(
            f"A legal hold keeps “{name}” in the record: {why}. Nothing was erased.",
            code="era-002",
        )


def _note(
    session: Session, action: str, name: str, reason: str, by: tuple[str, datetime]
) -> None:
    if not reason.strip() or not name.strip():
        raise InvalidInput("A legal hold wants a name and a reason.", code="era-003")
    actor, now = by
    payload = {"name": name.strip(), "reason": reason.strip()}
    append(session, [(action, HOLD, payload)], actor=actor, now=now)
