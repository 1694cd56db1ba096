"""Accounts, and every way in: sign-ins, keys, known devices, second factors."""

from datetime import datetime
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from monitor.domain.people import KeyKind, KeyScope
from monitor.domain.vocabulary import Role
from monitor.store.models.base import (
    Base,
    choice,
    instant,
    may_point_to,
    only,
    own_id,
    points_to,
    words,
)
from monitor.store.types import Flag, Id, Instant, Whole, Words


class AccountRow(Base):
    """A person who may sign in."""

    __tablename__ = "account"
    checks = (only("role", Role),)
    id: Mapped[UUID] = own_id()
    name: Mapped[str] = mapped_column(Words, unique=True)
    email: Mapped[str] = words()
    role: Mapped[Role] = choice(Role)
    password_hash: Mapped[str] = words()
    is_active: Mapped[bool] = mapped_column(Flag)
    recorded_at: Mapped[datetime] = instant()
    party_id: Mapped[UUID | None] = may_point_to("party.id")


class SignInRow(Base):
    """One signed-in browser."""

    __tablename__ = "sign_in"
    id: Mapped[UUID] = own_id()
    account_id: Mapped[UUID] = points_to("account.id")
    token_hash: Mapped[str] = mapped_column(Words, unique=True)
    started_at: Mapped[datetime] = instant()
    seen_at: Mapped[datetime] = instant()
    ends_at: Mapped[datetime] = instant()
    ended_at: Mapped[datetime | None] = mapped_column(Instant)
    address: Mapped[str] = words()
    browser: Mapped[str] = words()
    proved_at: Mapped[datetime | None] = mapped_column(Instant)


class EntryKeyRow(Base):
    """A secret that was given out: invitation, reset, token of a program, share."""

    __tablename__ = "entry_key"
    checks = (only("kind", KeyKind), only("scope", KeyScope))
    id: Mapped[UUID] = own_id()
    kind: Mapped[KeyKind] = choice(KeyKind)
    account_id: Mapped[UUID | None] = may_point_to("account.id")
    support_id: Mapped[UUID | None] = may_point_to("support.id")
    token_hash: Mapped[str] = mapped_column(Words, unique=True)
    label: Mapped[str] = words()
    scope: Mapped[KeyScope] = choice(KeyScope)
    made_by: Mapped[str] = words()
    made_at: Mapped[datetime] = instant()
    ends_at: Mapped[datetime] = instant()
    used_at: Mapped[datetime | None] = mapped_column(Instant)
    ended_at: Mapped[datetime | None] = mapped_column(Instant)


class KnownDeviceRow(Base):
    """A browser from which the right password came before."""

    __tablename__ = "known_device"
    id: Mapped[UUID] = own_id()
    account_id: Mapped[UUID] = points_to("account.id")
    token_hash: Mapped[str] = mapped_column(Words, unique=True)
    seen_at: Mapped[datetime] = instant()


class WrongTriesRow(Base):
    """How often wrong passwords came under one key."""

    __tablename__ = "wrong_tries"
    key: Mapped[str] = mapped_column(Words, primary_key=True)
    count: Mapped[int] = mapped_column(Whole)
    last_at: Mapped[datetime] = mapped_column(Instant, index=True)


class SecondFactorRow(Base):
    """The secret that an account's authenticator shares with us, sealed."""

    __tablename__ = "second_factor"
    account_id: Mapped[UUID] = mapped_column(
        Id, sa.ForeignKey("account.id"), primary_key=True
    )
    secret: Mapped[str] = words()
    confirmed_at: Mapped[datetime | None] = mapped_column(Instant)
    last_step: Mapped[int] = mapped_column(Whole)


class RecoveryCodeRow(Base):
    """A code that stands in once for a lost authenticator."""

    __tablename__ = "recovery_code"
    id: Mapped[UUID] = own_id()
    account_id: Mapped[UUID] = points_to("account.id")
    code_hash: Mapped[str] = words()
    used_at: Mapped[datetime | None] = mapped_column(Instant)


class OutsideNameRow(Base):
    """Who an account is at an organisation's provider of sign-ins; only a hash."""

    __tablename__ = "outside_name"
    subject_hash: Mapped[str] = mapped_column(Words, primary_key=True)
    account_id: Mapped[UUID] = points_to("account.id")
    bound_at: Mapped[datetime] = instant()


class SignInBegunRow(Base):
    """A browser that was sent to the provider and is to come back once."""

    __tablename__ = "sign_in_begun"
    state_hash: Mapped[str] = mapped_column(Words, primary_key=True)
    nonce: Mapped[str] = words()
    verifier: Mapped[str] = words()
    next_path: Mapped[str] = words()
    begun_at: Mapped[datetime] = mapped_column(Instant, index=True)
