"""Changing what accounts may do, each change by someone with the right to it.

An actor without an account is the command line, whose rights the machine has checked.
"""

from dataclasses import replace
from datetime import datetime

from monitor.domain.people import Account
from monitor.domain.rights import Right
from monitor.domain.vocabulary import Role
from monitor.errors import Conflict, NotAllowed
from monitor.services.access import SignedIn, accounts, end_all, log, owner_of
from monitor.store import Session
from monitor.store.records import ACCOUNTS, ENTRY_KEYS


def require(actor: SignedIn, right: Right) -> None:
    """Refuse an actor who has not the right.

    Raises
    ------
    NotAllowed : what the account may not do
    """
    if not actor.may(right):
        raise NotAllowed(f"This account may not {right.value}.", code="acc-004")


def change_role(
    session: Session,
    account: Account,
    role: Role,
    *,
    owner: str = "",
    by: tuple[str, datetime],
) -> Account:
    """Give an account another role; it holds from its next request.

    Raises
    ------
    InvalidInput : an owner without sites
    Conflict : nobody would be left who looks after accounts
    """
    actor, now = by
    changed = replace(account, role=role, party_id=owner_of(session, role, owner))
    _require_someone_left(session, changed)
    ACCOUNTS.change(session, changed)
    log(session, f"made {role.value}", changed, actor, now)
    return changed


def disable(session: Session, account: Account, *, actor: str, now: datetime) -> None:
    """Let an account in no more, and end its sign-ins and keys; its record stays."""
    changed = replace(account, is_active=False)
    _require_someone_left(session, changed)
    ACCOUNTS.change(session, changed)
    end_all(session, account, None, now)
    _end_keys(session, account, now)
    log(session, "disabled", account, actor, now)


def enable(session: Session, account: Account, *, actor: str, now: datetime) -> None:
    """Let a disabled account in again, with its password."""
    ACCOUNTS.change(session, replace(account, is_active=True))
    log(session, "enabled", account, actor, now)


def _require_someone_left(session: Session, changed: Account) -> None:
    after = [changed if one.id == changed.id else one for one in accounts(session)]
    before_any = any(_looks_after(one) for one in accounts(session))
    if before_any and not any(_looks_after(one) for one in after):
        raise Conflict(
            f"{changed.name} is the last administrator; make another first.",
            code="acc-015",
        )


def _looks_after(account: Account) -> bool:
    return account.is_active and account.role is Role.ADMINISTRATOR


def _end_keys(session: Session, account: Account, now: datetime) -> None:
    table = ENTRY_KEYS.table
    for key in ENTRY_KEYS.all(session, table.c.account_id == account.id):
        if key.ended_at is None:
            ENTRY_KEYS.change(session, replace(key, ended_at=now))
