"""Mailing checkpoints out of the house: to those the settings name."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime

from monitor.domain.checkpoints import Checkpoint, to_line
from monitor.domain.notices import Notice, NoticeKind, NoticeLine, Recipient
from monitor.services.notices.blank import blank
from monitor.services.notices.recipients import recipient_named
from monitor.store import Session, outbox

HEADING = "Checkpoint of the record"


def mail_checkpoint(
    session: Session, checkpoint: Checkpoint, names: Iterable[str], *, now: datetime
) -> int:
    """Raise a letter to each; how many. The same checkpoint goes to nobody twice.

    Raises
    ------
    NotFound : there is nobody of that name among those who are told
    """
    people = [recipient_named(session, name) for name in names]
    return outbox.add_new(session, _letters(checkpoint, people, now))


def _letters(
    checkpoint: Checkpoint, people: Iterable[Recipient], now: datetime
) -> Iterator[Notice]:
    head = checkpoint.head
    lines = tuple(NoticeLine(HEADING, text) for text in _sentences(checkpoint))
    for person in people:
        key = f"{person.id} checkpoint {head.size} {head.root}"
        subject = f"Checkpoint of the record: {head.size} entries"
        notice = blank(NoticeKind.CHECKPOINT, key, subject, now)
        yield replace(notice, recipient_id=person.id, topic="checkpoint", lines=lines)


def _sentences(checkpoint: Checkpoint) -> tuple[str, ...]:
    return (
        "Please keep this letter where nobody of the sender's house can change it. It "
        "is a short text that stands for every entry of the record so far. If the past "
        "is ever in question, it shows whether it was rewritten.",
        to_line(checkpoint),
        "To check: save this letter as a text file and let the sender run “underprop "
        "verify --against FILE” in front of you, or check an archive of the record "
        "yourself with the verify_record.py inside it. The signature (Ed25519) is "
        "checked by verify_signature.py there; the key should be the same in every "
        "letter.",
    )
