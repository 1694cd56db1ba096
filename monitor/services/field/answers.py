"""What a device hears back: a receipt, a question with choices, or what is missing."""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from uuid import UUID

from monitor.services.recording.checks import Stamp
from monitor.store import Session
from monitor.store.history import changes_of
from monitor.store.ledger import append


@dataclass(frozen=True, slots=True)
class Receipt:
    """Proof that a form is in the record; the same for every repeated request.

    Attributes
    ----------
    id : of the form, made by the device
    body_sha256 : of the bytes that were taken in
    support : code
    is_inspection : False if it was left with the office as it is
    recorded_at : instant, ISO 8601
    clock_off_s : how far the device's clock was ahead [s], 0 if within five minutes
    """

    id: str
    body_sha256: str
    support: str
    is_inspection: bool
    recorded_at: str
    sentence: str
    clock_off_s: int = 0


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to go on: what of the form changes if the person takes it."""

    label: str
    changes: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Question:
    """Why a form was not taken yet, and how to go on. Nothing was written."""

    about: str
    sentence: str
    choices: tuple[Choice, ...] = ()


@dataclass(frozen=True, slots=True)
class MissingPhotos:
    """Photographs that have to arrive first, by SHA-256."""

    sha256s: tuple[str, ...]


Answer = Receipt | Question | MissingPhotos


def receipt_of(session: Session, form_id: UUID) -> Receipt | None:
    """The receipt given for that form, if it was taken in."""
    found = changes_of(session, [_subject(form_id)], at_most=50)
    for change in found:
        given = json.loads(change.payload).get("receipt")
        if given:
            return Receipt(**given)
    return None


def keep_receipt(session: Session, receipt: Receipt, stamp: Stamp) -> None:
    """Write a receipt, in the transaction of what it is given for."""
    change = (
        "field form received",
        f"field form {receipt.id}",
        {"receipt": asdict(receipt)},
    )
    append(session, [change], actor=stamp.actor, now=stamp.now)


def note_other_content(
    session: Session, form_id: UUID, body_sha256: str, stamp: Stamp
) -> None:
    """Write down that a form came again with other content, which was not taken."""
    payload = {"body_sha256": body_sha256}
    change = "field form refused", _subject(form_id), payload
    append(session, [change], actor=stamp.actor, now=stamp.now)


def _subject(form_id: UUID) -> str:
    return f"field form {form_id}"
