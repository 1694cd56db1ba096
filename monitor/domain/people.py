"""Who may come in, and by what."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from uuid import UUID

from monitor.domain.vocabulary import Role


@dataclass(frozen=True, slots=True)
class Account:
    """A person who may sign in. The password is kept as an Argon2 hash only.

    Attributes
    ----------
    password_hash : empty until an invited person has chosen a password
    party_id : whose sites an owner's account sees; None for every other role
    """

    id: UUID
    name: str
    email: str
    role: Role
    password_hash: str
    is_active: bool
    recorded_at: datetime
    party_id: UUID | None = None


@dataclass(frozen=True, slots=True)
class SignIn:
    """One signed-in browser. Only the hash of its token is kept.

    Attributes
    ----------
    address : where it signed in from
    browser : what it said it is
    proved_at : when the person proved again who they are, None if never since
    """

    id: UUID
    account_id: UUID
    token_hash: str
    started_at: datetime
    seen_at: datetime
    ends_at: datetime
    ended_at: datetime | None
    address: str = ""
    browser: str = ""
    proved_at: datetime | None = None

    @property
    def sure_at(self) -> datetime:
        """When it was last certain who sits there."""
        return self.proved_at or self.started_at


class KeyKind(StrEnum):
    """What a key that was given out opens."""

    INVITATION = "invitation"
    RESET = "reset"
    TOKEN = "token"
    SHARE = "share"


class KeyScope(StrEnum):
    """How far a key reaches within what its account may do."""

    READ = "read"
    RECORD = "record"


@dataclass(frozen=True, slots=True)
class EntryKey:
    """A secret that was given out once; only its hash is kept.

    Attributes
    ----------
    account_id : of whom, None for a share
    support_id : the one support that a share shows
    used_at : last time for a token or a share, the only time for the others
    ended_at : when it was revoked or used up
    """

    id: UUID
    kind: KeyKind
    account_id: UUID | None
    support_id: UUID | None
    token_hash: str
    label: str
    scope: KeyScope
    made_by: str
    made_at: datetime
    ends_at: datetime
    used_at: datetime | None
    ended_at: datetime | None

    def is_good(self, now: datetime) -> bool:
        """Whether it still opens something."""
        return self.ended_at is None and now < self.ends_at


@dataclass(frozen=True, slots=True)
class KnownDevice:
    """A browser from which the right password came before."""

    id: UUID
    account_id: UUID
    token_hash: str
    seen_at: datetime


@dataclass(frozen=True, slots=True)
class SecondFactor:
    """The secret that an account's authenticator shares with us.

    Attributes
    ----------
    secret : in base 32, as authenticators take it
    confirmed_at : None until a first code was right
    last_step : number of the 30 s step whose code was taken last; none is taken twice
    """

    account_id: UUID
    secret: str
    confirmed_at: datetime | None
    last_step: int


@dataclass(frozen=True, slots=True)
class RecoveryCode:
    """A code that stands in once for a lost authenticator; its hash is kept."""

    id: UUID
    account_id: UUID
    code_hash: str
    used_at: datetime | None
