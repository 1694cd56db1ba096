"""What the ledger says of some things, newest first, for reading."""

from collections.abc import Collection

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.ledger import Change
from monitor.store.models import LedgerRow

_TABLE = LedgerRow.metadata.tables["ledger"]
_FIELDS = (
    "seq", "recorded_at", "actor", "action", "subject", "payload",
    "device_at", "origin", "reason",
)  # fmt: skip


def changes_of(
    session: Session, subjects: Collection[str], *, at_most: int
) -> list[Change]:
    """The newest changes whose subject is one of these."""
    query = (
        sa.select(*(_TABLE.c[name] for name in _FIELDS))
        .where(_TABLE.c.subject.in_(subjects))
        .order_by(_TABLE.c.seq.desc())
        .limit(at_most)
    )
    return [Change(*row) for row in session.execute(query)]
