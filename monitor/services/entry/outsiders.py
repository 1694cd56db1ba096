"""Whose account somebody has whom the provider let in.

An account is known by the provider's own name for the person. The first time it is
found by the e-mail address, if the provider vouches for it and one account alone has
it. Nobody gets an account by this, unless the settings say so; then it is one that
sees nothing until an administrator gives it a role or an owner.
"""

from datetime import datetime

from monitor.clock import new_id
from monitor.domain.people import Account
from monitor.domain.vocabulary import Role
from monitor.errors import NotAllowed
from monitor.services.access import accounts, digest, log
from monitor.services.entry.openid import Outsider
from monitor.store import Session, outside
from monitor.store.records import ACCOUNTS

_NOBODY = (
    "The provider of sign-ins knows you, but there is no account here for you. Ask "
    "whoever looks after this installation to invite you under the same e-mail address."
)


def account_of(
    session: Session, who: Outsider, now: datetime, *, creates: bool
) -> Account:
    """The account of somebody whom the provider let in.

    Parameters
    ----------
    creates : whether somebody without an account gets one that sees nothing

    Raises
    ------
    NotAllowed : there is none, or it is disabled; the two are answered alike
    """
    subject = digest(f"{who.issuer} {who.subject}")
    bound = outside.account_of(session, subject)
    if bound is not None:
        return _let_in(ACCOUNTS.get(session, bound))
    found = _by_email(session, who.email)
    if found is None and creates and who.email and not _is_taken(session, who.email):
        found = _new(session, who, now)
    account = _let_in(found)
    outside.bind(session, subject, account.id, now)
    log(session, "known by the provider", account, account.name, now)
    return account


def _let_in(account: Account | None) -> Account:
    if account is None or not account.is_active:
        raise NotAllowed(_NOBODY, code="acc-024")
    return account


def _by_email(session: Session, email: str) -> Account | None:
    """The one account with that address; two of them are told apart by nothing."""
    wanted = email.casefold()
    found = [
        one for one in accounts(session) if wanted and one.email.casefold() == wanted
    ]
    return found[0] if len(found) == 1 else None


def _is_taken(session: Session, email: str) -> bool:
    wanted = email.casefold()
    return any(one.email.casefold() == wanted for one in accounts(session))


def _new(session: Session, who: Outsider, now: datetime) -> Account:
    """An account that sees nothing: an owner of no site, without a password."""
    is_free = who.name and ACCOUNTS.find(session, name=who.name) is None
    name = who.name if is_free and who.name.isprintable() else who.email
    made = Account(new_id(), name, who.email, Role.OWNER, "", True, now, None)
    if ACCOUNTS.find(session, name=name) is not None:
        raise NotAllowed(_NOBODY, code="acc-024")
    ACCOUNTS.add(session, [made])
    log(session, "made by the provider", made, "provider of sign-ins", now)
    return made
