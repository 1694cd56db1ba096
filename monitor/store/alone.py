"""Letting only one transaction at a time decide about something."""

import sqlalchemy as sa
from sqlalchemy.orm import Session

ROUNDS = 7_405_221
"""Agreeing rounds; a number of this program's own."""
EVENTS = 7_405_222
"""Entering events."""
CONCLUSIONS = 7_405_223
"""Concluding from the facts: what was read first is not written last."""


def decide_alone(session: Session, about: int) -> None:
    """Wait until no other transaction decides about the same.

    On SQLite whoever writes is alone already.
    """
    if session.get_bind().dialect.name == "postgresql":
        session.execute(sa.select(sa.func.pg_advisory_xact_lock(about)))
