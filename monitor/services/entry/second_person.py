"""What one person alone may not do: somebody else who looks after accounts agrees.

At the machine the first person is whoever has the database; the second gives the
password of an account of their own. The ledger keeps that they did, and to what.
"""

from datetime import datetime

from monitor.domain.people import Account
from monitor.domain.rights import Right, may
from monitor.errors import NotAllowed
from monitor.services.access import check_password, log
from monitor.store import Session


def agree(
    session: Session, person: tuple[str, str], act: str, *, actor: str, now: datetime
) -> Account:
    """Note that a second person agrees to an act.

    Parameters
    ----------
    person : name and password of the second person
    act : what is agreed to, such as "an erasure"
    actor : the first person

    Raises
    ------
    NotAllowed : the password is not right, the account looks not after accounts, or
        both are the same person
    """
    account = check_password(session, *person)
    is_same = actor.rpartition(", ")[2].casefold() == account.name.casefold()
    if is_same or not may(account.role, Right.LOOK_AFTER_ACCOUNTS):
        raise NotAllowed(
            f"{account.name} can not be the second person: it takes another one, who "
            "looks after accounts.",
            code="acc-027",
        )
    log(session, f"agreed to {act}", account, account.name, now)
    return account
