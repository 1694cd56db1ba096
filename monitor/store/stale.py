"""Which supports have conclusions older than their facts."""

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.store.models import StaleRow

_TABLE = StaleRow.metadata.tables["stale"]


def mark_stale(session: Session, support_ids: Iterable[UUID], now: datetime) -> None:
    """Note that these supports want a new look by the analysis."""
    wanted = set(support_ids) - stale_supports(session)
    if wanted:
        rows = [{"support_id": key, "since": now} for key in wanted]
        session.execute(sa.insert(_TABLE), rows)


def stale_supports(session: Session) -> set[UUID]:
    """Every support that wants a new look."""
    return set(session.execute(sa.select(_TABLE.c.support_id)).scalars())


def mark_fresh(session: Session, support_ids: Iterable[UUID]) -> None:
    """Note that the conclusions of these supports are up to date."""
    keys = [{"key": key} for key in support_ids]
    if keys:
        matches = _TABLE.c.support_id == sa.bindparam("key")
        session.execute(sa.delete(_TABLE).where(matches), keys)
