"""Taking away conclusions that no longer hold. Facts are never taken away."""

from collections.abc import Iterable
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.store.models import DueRow, OutlookRow

_DUE = DueRow.metadata.tables["due"]
_OUTLOOK = OutlookRow.metadata.tables["outlook"]


def delete_dues(session: Session, support_ids: Iterable[UUID]) -> None:
    """Forget what these supports were owed."""
    _delete(session, _DUE, support_ids)


def delete_outlooks(session: Session, support_ids: Iterable[UUID]) -> None:
    """Forget what the analysis said of these supports."""
    _delete(session, _OUTLOOK, support_ids)


def _delete(session: Session, table: sa.Table, support_ids: Iterable[UUID]) -> None:
    keys = [{"key": key} for key in support_ids]
    if keys:
        matches = table.c.support_id == sa.bindparam("key")
        session.execute(sa.delete(table).where(matches), keys)
