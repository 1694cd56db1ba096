"""Telling a person that somebody tries to come in as them."""

from dataclasses import replace
from datetime import datetime

from monitor.domain.notices import NoticeKind, NoticeLine
from monitor.services.entry.patience import TOLD_AT, wrong_tries
from monitor.services.notices.blank import blank
from monitor.store import Session, outbox
from monitor.store.records import ACCOUNTS, RECIPIENTS

SUBJECT = "Somebody tries to sign in as you"


def warn_of_tries(session: Session, name: str, *, now: datetime) -> bool:
    """Raise one notice a day to a person whose account has many wrong tries.

    It goes where their other notices go; a person who gets none is not told.
    """
    if wrong_tries(session, name) < TOLD_AT:
        return False
    account = ACCOUNTS.find(session, name=" ".join(name.split()))
    person = RECIPIENTS.find(session, name=account.name) if account else None
    if person is None:
        return False
    told = (
        f"{TOLD_AT} or more wrong passwords were given for your account today. Nobody "
        "came in by them. Your own devices still let you in; if you fear that your "
        "password is known, choose another."
    )
    key = f"{person.id} wrong passwords {now:%Y-%m-%d}"
    notice = replace(
        blank(NoticeKind.ESCALATION, key, SUBJECT, now),
        recipient_id=person.id,
        topic=f"account {person.id}",
        period=f"{now:%Y-%m-%d}",
        is_urgent=True,
        lines=(NoticeLine("Your account", told, "account"),),
    )
    return outbox.add_new(session, [notice]) > 0
