"""Wrong tries by key, counted for all processes together."""

from collections.abc import Mapping
from datetime import datetime, timedelta

import sqlalchemy as sa
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from monitor.store.models import WrongTriesRow

_T = WrongTriesRow.metadata.tables["wrong_tries"]


def counts(session: Session, keys: list[str]) -> dict[str, tuple[int, datetime]]:
    """How many wrong tries came under each key, and when the last."""
    query = sa.select(_T.c.key, _T.c["count"], _T.c.last_at).where(_T.c.key.in_(keys))
    return {key: (count, last) for key, count, last in session.execute(query)}


def lock(session: Session, keys: list[str], now: datetime) -> None:
    """Hold these keys until the transaction ends, so that tries come one by one."""
    insert = _insert(session)
    for key in sorted(keys):
        values = {"key": key, "count": 0, "last_at": now}
        session.execute(insert.on_conflict_do_nothing(), values)
    query = sa.select(_T.c.key).where(_T.c.key.in_(keys)).order_by(_T.c.key)
    session.execute(query.with_for_update()).all()


def put(session: Session, tries: Mapping[str, int], now: datetime) -> None:
    """Write counts; what was counted before is replaced."""
    for key, count in tries.items():
        session.execute(
            sa.update(_T).where(_T.c.key == key).values(count=count, last_at=now)
        )


def forget(session: Session, keys: list[str]) -> None:
    """Start afresh for these keys."""
    session.execute(sa.delete(_T).where(_T.c.key.in_(keys)))


def forget_older(session: Session, than: datetime) -> None:
    """Let go of keys that were quiet for long."""
    session.execute(sa.delete(_T).where(_T.c.last_at < than))


def raise_to_now(last_at: datetime, now: datetime) -> timedelta:
    """Time since the last try; none if the clock was set back."""
    return max(now - last_at, timedelta(0))


def _insert(session: Session) -> sqlite.Insert | postgresql.Insert:
    if session.get_bind().dialect.name == "postgresql":
        return postgresql.insert(_T)
    return sqlite.insert(_T)
