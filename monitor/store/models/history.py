"""The ledger and the kept nodes of its tree."""

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from monitor.store.models.base import Base, instant, words
from monitor.store.types import Instant, Whole, Words


class LedgerRow(Base):
    """One change, chained to all before it."""

    __tablename__ = "ledger"
    checks = (
        sa.CheckConstraint("seq >= 1", name="seq"),
        sa.CheckConstraint("form IN (1, 2)", name="form"),
    )
    seq: Mapped[int] = mapped_column(Whole, primary_key=True, autoincrement=False)
    recorded_at: Mapped[datetime] = instant()
    actor: Mapped[str] = words()
    action: Mapped[str] = words()
    subject: Mapped[str] = mapped_column(Words, index=True)
    payload: Mapped[str] = words()
    leaf_hash: Mapped[str] = words()
    chain_hash: Mapped[str] = words()
    form: Mapped[int] = mapped_column(Whole)
    device_at: Mapped[datetime | None] = mapped_column(Instant)
    origin: Mapped[str] = words()
    reason: Mapped[str] = words()
    row_hashes: Mapped[str] = words()
    salt: Mapped[str] = words()
    commitment: Mapped[str] = words()


class LedgerNodeRow(Base):
    """A node of the Merkle tree over 2^level entries, from level 8 upwards."""

    __tablename__ = "ledger_node"
    checks = (sa.CheckConstraint("level >= 1", name="level"),)
    level: Mapped[int] = mapped_column(Whole, primary_key=True, autoincrement=False)
    place: Mapped[int] = mapped_column(Whole, primary_key=True, autoincrement=False)
    hash: Mapped[str] = words()
