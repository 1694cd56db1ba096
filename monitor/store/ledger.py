"""Writing and checking the append-only history."""

from collections.abc import Iterable, Iterator
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.ledger import (
    START,
    Change,
    LedgerEntry,
    canonical,
    chain_hash,
    leaf_hash,
)
from monitor.store.models import LedgerRow

_TABLE = LedgerRow.metadata.tables["ledger"]
_POSTGRES_LOCK = 7_405_214
_CHANGE_FIELDS = ("seq", "recorded_at", "actor", "action", "subject", "payload")


def append(
    session: Session,
    changes: Iterable[tuple[str, str, object]],
    *,
    actor: str,
    now: datetime,
) -> None:
    """Chain changes to the history, in the transaction that makes them.

    Parameters
    ----------
    changes : (action, subject, payload) of each; the payload becomes canonical JSON
    """
    if session.get_bind().dialect.name == "postgresql":
        session.execute(sa.select(sa.func.pg_advisory_xact_lock(_POSTGRES_LOCK)))
    seq, previous = _last(session)
    rows = []
    for action, subject, payload in changes:
        seq += 1
        change = Change(seq, now, actor, action, subject, canonical(payload))
        leaf = leaf_hash(change)
        previous = chain_hash(previous, leaf)
        rows.append(_row(LedgerEntry(change, leaf, previous)))
    if rows:
        session.execute(sa.insert(_TABLE), rows)


def entries(session: Session, *, subject: str | None = None) -> Iterator[LedgerEntry]:
    """All entries in order, or those of one subject."""
    query = sa.select(_TABLE).order_by(_TABLE.c.seq)
    if subject is not None:
        query = query.where(_TABLE.c.subject == subject)
    with session.execute(query.execution_options(yield_per=5000)) as result:
        for row in result.mappings():
            change = Change(*(row[name] for name in _CHANGE_FIELDS))
            yield LedgerEntry(change, row["leaf_hash"], row["chain_hash"])


def first_broken(session: Session) -> int | None:
    """Number of the first entry that does not fit what it was, or None if all do."""
    previous, expected_seq = START, 1
    for entry in entries(session):
        leaf = leaf_hash(entry.change)
        previous = chain_hash(previous, leaf)
        fits = (
            entry.change.seq == expected_seq
            and entry.leaf_hash == leaf
            and entry.chain_hash == previous
        )
        if not fits:
            return expected_seq
        expected_seq += 1
    return None


def _last(session: Session) -> tuple[int, str]:
    query = sa.select(_TABLE.c.seq, _TABLE.c.chain_hash).order_by(_TABLE.c.seq.desc())
    row = session.execute(query.limit(1)).first()
    return (row.seq, row.chain_hash) if row else (0, START)


def _row(entry: LedgerEntry) -> dict[str, object]:
    values = {name: getattr(entry.change, name) for name in _CHANGE_FIELDS}
    return {**values, "leaf_hash": entry.leaf_hash, "chain_hash": entry.chain_hash}
