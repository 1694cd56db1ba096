"""Bringing a record up to this program's revision without losing anything.

The migrations run in one transaction, and within it every column of every kept table is
compared with what it was, and rows of the time before the ledger vouched for rows are
taken into it; so an upgrade either happens whole or not at all.
"""

from datetime import datetime

from monitor.services.keeping.anchor import anchor
from monitor.store import Session, Store, schema

FIRST_WITH_ROW_HASHES = "0006"


def bring_up(url: str, *, actor: str, now: datetime) -> str:
    """Upgrade, and vouch for rows of the time before the ledger did.

    Returns
    -------
    The revision the database was at, empty if it was new.

    Raises
    ------
    SchemaOutOfDate : the database was made by a newer program
    """
    store = Store(url)
    try:
        before = schema.current_revision(store)
    finally:
        store.close()

    def vouch(session: Session) -> None:
        anchor(session, before=before, actor=actor, now=now)

    if before != schema.head_revision():
        is_unvouched = "" < before < FIRST_WITH_ROW_HASHES
        schema.upgrade(url, afterwards=vouch if is_unvouched else None)
    return before
