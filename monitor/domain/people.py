"""Who may sign in."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from monitor.domain.vocabulary import Role


@dataclass(frozen=True, slots=True)
class Account:
    """A person who may sign in. The password is kept as an Argon2 hash only."""

    id: UUID
    name: str
    email: str
    role: Role
    password_hash: str
    is_active: bool
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class SignIn:
    """One signed-in browser. Only the hash of its token is kept."""

    id: UUID
    account_id: UUID
    token_hash: str
    started_at: datetime
    seen_at: datetime
    ends_at: datetime
    ended_at: datetime | None
