"""What each calendar shows, so that what leaves it can be called off."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.store.models import CalendarShownRow

_T = CalendarShownRow.metadata.tables["calendar_shown"]


@dataclass(frozen=True, slots=True)
class Shown:
    """Since when a calendar shows a support, and until when, None if it still does."""

    since_at: datetime
    gone_at: datetime | None


def shown_in(session: Session, scope: str) -> dict[UUID, Shown]:
    """Everything a calendar shows or showed, by support."""
    query = sa.select(_T).where(_T.c.scope == scope)
    return {
        row["support_id"]: Shown(row["since_at"], row["gone_at"])
        for row in session.execute(query).mappings()
    }


def note_shown_in(
    session: Session, scope: str, now_shown: Iterable[UUID], *, now: datetime
) -> int:
    """Note what a calendar shows now; how many entries came or went.

    A support that comes back is shown since then, so that its number rises above that
    of its cancellation.
    """
    shown, before = set(now_shown), shown_in(session, scope)
    new = [key for key in shown if key not in before]
    back = [key for key in shown if key in before and before[key].gone_at is not None]
    gone = [
        key for key, one in before.items() if one.gone_at is None and key not in shown
    ]
    if new:
        rows = [
            {"scope": scope, "support_id": key, "since_at": now, "gone_at": None}
            for key in new
        ]
        session.execute(sa.insert(_T), rows)
    for key in back:
        _change(session, scope, key, {"since_at": now, "gone_at": None})
    for key in gone:
        _change(session, scope, key, {"gone_at": now})
    return len(new) + len(back) + len(gone)


def scopes(session: Session) -> list[str]:
    """Every calendar that showed something."""
    return list(session.execute(sa.select(_T.c.scope).distinct()).scalars())


def _change(
    session: Session, scope: str, key: UUID, values: dict[str, datetime | None]
) -> None:
    mine = (_T.c.scope == scope) & (_T.c.support_id == key)
    session.execute(sa.update(_T).where(mine).values(**values))
