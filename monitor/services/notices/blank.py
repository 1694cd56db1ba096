"""A notice before anybody has sent it."""

from datetime import datetime

from monitor.clock import new_id
from monitor.domain.notices import Notice, NoticeKind, NoticeState


def blank(kind: NoticeKind, key: str, subject: str, now: datetime) -> Notice:
    """A notice that waits, to be filled in."""
    return Notice(
        id=new_id(),
        key=key,
        kind=kind,
        recipient_id=None,
        topic="",
        period="",
        covers=0,
        is_urgent=False,
        subject=subject,
        lines=(),
        raised_at=now,
        state=NoticeState.WAITING,
        folded_into_id=None,
        message_id="",
        attempts=0,
        next_try_at=now,
        claimed_by="",
        claimed_until=None,
        ended_at=None,
        error="",
    )
