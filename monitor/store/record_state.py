"""A number pair that changes with every change of the record."""

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.store.models import Base

_LEDGER, _STALE = Base.metadata.tables["ledger"], Base.metadata.tables["stale"]


def record_state(session: Session) -> tuple[int, int]:
    """The newest entry of the ledger, and how many supports wait for an assessment."""
    newest = session.execute(sa.select(sa.func.max(_LEDGER.c.seq))).scalar_one()
    waiting = session.execute(sa.select(sa.func.count()).select_from(_STALE))
    return newest or 0, waiting.scalar_one()
