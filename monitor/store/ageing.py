"""Which supports have parts that age: synthetic lines and coatings."""

from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.store.models import Base

_MEMBER, _FACT = Base.metadata.tables["member"], Base.metadata.tables["fact"]
AGEING_FACTS = ("line", "coating")
"""Facts of a member that say what of it ages."""


def with_ageing_parts(session: Session) -> list[UUID]:
    """Supports with a standing member of which such a fact was ever recorded."""
    query = (
        sa.select(_MEMBER.c.support_id)
        .distinct()
        .join(_FACT, _FACT.c.member_id == _MEMBER.c.id)
        .where(_MEMBER.c.removed_on.is_(None), _FACT.c.name.in_(AGEING_FACTS))
    )
    return list(session.execute(query).scalars())
