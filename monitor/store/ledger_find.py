"""Finding entries of the ledger, for proofs and copies."""

import re
from collections.abc import Iterator

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.ledger import LedgerEntry
from monitor.store import ledger
from monitor.store.models import LedgerRow

_TABLE = LedgerRow.metadata.tables["ledger"]
_UUID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")


def entries_about(session: Session, about: str, *, at_most: int) -> list[LedgerEntry]:
    """Entries of that number, that wrote the record of that id, or of that code."""
    query = sa.select(_TABLE).where(_about(about)).order_by(_TABLE.c.seq)
    rows = session.execute(query.limit(at_most)).mappings()
    return [ledger.entry_of(row) for row in rows]


def leaf_hashes(session: Session) -> Iterator[str]:
    """Leaf hash of every entry, in order."""
    query = sa.select(_TABLE.c.leaf_hash).order_by(_TABLE.c.seq)
    yield from session.execute(query.execution_options(yield_per=10_000)).scalars()


def _about(about: str) -> sa.ColumnElement[bool]:
    if about.isdecimal():
        return _TABLE.c.seq == int(about[:18])
    if _UUID.fullmatch(about.lower()):
        named = _TABLE.c.row_hashes.contains(f'"{about.lower()}"', autoescape=True)
        return named | _TABLE.c.subject.endswith(f" {about.lower()}", autoescape=True)
    subjects = [f"{kind} {about}" for kind in ("support", "site", "tree", "policy")]
    return _TABLE.c.subject.in_([*subjects, about])
