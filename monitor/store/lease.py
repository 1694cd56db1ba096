"""A lease: one holder at a time, taken over when it runs out."""

from datetime import datetime, timedelta

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.store.models import LeaseRow

SCHEDULER = "jobs"
"""The lease of the process that runs the jobs."""

_TABLE = LeaseRow.metadata.tables["lease"]


def take(
    session: Session, name: str, *, holder: str, now: datetime, lasts: timedelta
) -> bool:
    """Take or renew the lease; False while someone else holds it.

    Needs a write session: on SQLite its lock, on PostgreSQL the row lock, makes the
    answer the same for all who ask. A lease that ends further ahead than it can last
    was taken before the clock was set back, and counts as run out.
    """
    query = sa.select(_TABLE).where(_TABLE.c.name == name).with_for_update()
    row = session.execute(query).mappings().first()
    is_anothers = row is not None and row["holder"] != holder
    if row is not None and is_anothers and now < row["ends_at"] <= now + lasts:
        return False
    values = {"name": name, "holder": holder, "ends_at": now + lasts}
    if row is None:
        session.execute(sa.insert(_TABLE).values(**values))
    else:
        session.execute(sa.update(_TABLE).where(_TABLE.c.name == name).values(**values))
    return True


def give_back(session: Session, name: str, *, holder: str) -> None:
    """End the lease if this holder still has it."""
    mine = (_TABLE.c.name == name) & (_TABLE.c.holder == holder)
    session.execute(sa.delete(_TABLE).where(mine))


def ends_at(session: Session, name: str) -> datetime | None:
    """When the lease runs out unless it is renewed; None if nobody has it."""
    query = sa.select(_TABLE.c.ends_at).where(_TABLE.c.name == name)
    return session.execute(query).scalar_one_or_none()
