"""Letting somebody choose a password: a link, printed or sent by mail.

The link goes straight to the mail server and is kept nowhere: the outbox would hold
it in words that a copy of the database tells.
"""

from datetime import datetime

from monitor.clock import Clock, new_id
from monitor.domain.notices import Channel
from monitor.domain.people import Account, KeyKind
from monitor.errors import InvalidInput
from monitor.notify.letter import Letter, Sentence
from monitor.services.access import NewAccount, add_account
from monitor.services.entry.keys import Wish, make_key
from monitor.services.notices.post import post_of
from monitor.settings import Settings, is_email
from monitor.store import Session

SUBJECTS = {
    KeyKind.INVITATION: "An account for you at Underprop",
    KeyKind.RESET: "A new password at Underprop",
}
_TOLD = {
    KeyKind.INVITATION: "An account was made for you. Choose a password to come in.",
    KeyKind.RESET: "You may choose a new password; the old one holds until you do.",
}
_CLOSING = "The link works once. If you expected nothing, ask whoever sent this."


def invite(
    session: Session, new: NewAccount, *, actor: str, now: datetime
) -> tuple[Account, str]:
    """Make an account without a password, and the path at which one is chosen."""
    account = add_account(session, new, actor=actor, now=now)
    return account, link(session, account, KeyKind.INVITATION, by=(actor, now))


def link(
    session: Session, account: Account, kind: KeyKind, *, by: tuple[str, datetime]
) -> str:
    """The path at which an account chooses its password; older links end."""
    if not account.is_active:
        raise InvalidInput(f"{account.name} is disabled; enable the account first.")
    _, secret = make_key(session, account, Wish(kind, account.name), by=by)
    return f"/welcome/{secret}"


def can_send(settings: Settings, account: Account) -> bool:
    """Whether the link can go by mail: a server, an address, a base for the link."""
    return bool(settings.smtp_host and settings.pages_url and is_email(account.email))


def send_link(
    settings: Settings, clock: Clock, account: Account, kind: KeyKind, path: str
) -> None:
    """Send the link to the account's address.

    Raises
    ------
    DeliveryError : the mail server did not take it
    """
    url = settings.pages_url.rstrip("/") + path
    sender_host = settings.smtp_from.rpartition("@")[2]
    letter = Letter(
        message_id=f"{new_id()}@{sender_host}",
        subject=SUBJECTS[kind],
        sentences=(Sentence("", _TOLD[kind], url),),
        closing=(_CLOSING,),
        written_at=clock.now(),
    )
    post_of(settings, clock).carriers[Channel.EMAIL].deliver(letter, account.email)
