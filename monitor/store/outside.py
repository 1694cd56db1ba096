"""Sign-ins that began here and go on at an organisation's provider, and who came back.

A beginning is taken once: looking at it removes it, in one statement.
"""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.store.models import OutsideNameRow, SignInBegunRow

_BEGUN = SignInBegunRow.metadata.tables["sign_in_begun"]
_NAMES = OutsideNameRow.metadata.tables["outside_name"]


@dataclass(frozen=True, slots=True)
class Begun:
    """What we told a browser before it left.

    Attributes
    ----------
    nonce : what the token that comes back has to name
    verifier : what only we know of the challenge that was shown (RFC 7636)
    next_path : where the person wanted to go
    """

    state_hash: str
    nonce: str
    verifier: str
    next_path: str
    begun_at: datetime


def keep(session: Session, begun: Begun) -> None:
    """Remember a beginning."""
    values = {name: getattr(begun, name) for name in Begun.__slots__}
    session.execute(sa.insert(_BEGUN).values(**values))


def take(session: Session, state_hash: str) -> Begun | None:
    """The beginning of that state, which is gone now."""
    query = (
        sa.delete(_BEGUN).where(_BEGUN.c.state_hash == state_hash).returning(*_BEGUN.c)
    )
    row = session.execute(query).one_or_none()
    return None if row is None else Begun(*row)


def forget_older(session: Session, than: datetime) -> None:
    """Let go of beginnings that nobody came back to."""
    session.execute(sa.delete(_BEGUN).where(_BEGUN.c.begun_at < than))


def account_of(session: Session, subject_hash: str) -> UUID | None:
    """Whose account a subject of the provider is, None if it never came."""
    query = sa.select(_NAMES.c.account_id).where(_NAMES.c.subject_hash == subject_hash)
    return session.execute(query).scalar_one_or_none()


def bind(session: Session, subject_hash: str, account_id: UUID, now: datetime) -> None:
    """Know an account by a subject of the provider from now on."""
    values = {"subject_hash": subject_hash, "account_id": account_id, "bound_at": now}
    session.execute(sa.insert(_NAMES).values(**values))
