"""Parties, sites, trees."""

from datetime import date, datetime
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from monitor.domain.vocabulary import Exposure
from monitor.store.models.base import (
    Base,
    instant,
    may_point_to,
    only,
    own_id,
    points_to,
    supersedes,
    words,
)
from monitor.store.types import Choice, Day, Flag, Id, Number, Words


class PartyRow(Base):
    """An owner, installer or manager."""

    __tablename__ = "party"
    id: Mapped[UUID] = own_id()
    name: Mapped[str] = mapped_column(Words, unique=True)
    note: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()


class SiteRow(Base):
    """A place with supports on it."""

    __tablename__ = "site"
    checks = (
        only("exposure", Exposure),
        sa.CheckConstraint("latitude BETWEEN -90 AND 90", name="latitude"),
        sa.CheckConstraint("longitude BETWEEN -180 AND 180", name="longitude"),
    )
    id: Mapped[UUID] = own_id()
    code: Mapped[str] = mapped_column(Words, unique=True)
    name: Mapped[str] = words()
    owner_id: Mapped[UUID] = points_to("party.id")
    manager_id: Mapped[UUID | None] = may_point_to("party.id")
    timezone: Mapped[str] = words()
    exposure: Mapped[Exposure | None] = mapped_column(Choice(Exposure))
    latitude: Mapped[float | None] = mapped_column(Number)
    longitude: Mapped[float | None] = mapped_column(Number)
    soil: Mapped[str] = words()
    access_note: Mapped[str] = words()
    quiet_seasons: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
    holiday_region: Mapped[str] = words()
    access_hours: Mapped[str] = words()


class TreeRow(Base):
    """A tree on a site."""

    __tablename__ = "tree"
    checks = (sa.UniqueConstraint("site_id", "code"),)
    id: Mapped[UUID] = own_id()
    site_id: Mapped[UUID] = points_to("site.id")
    code: Mapped[str] = words()
    species: Mapped[str] = words()
    is_heritage: Mapped[bool] = mapped_column(Flag)
    latitude: Mapped[float | None] = mapped_column(Number)
    longitude: Mapped[float | None] = mapped_column(Number)
    note: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()


class StemDiameterRow(Base):
    """Stem diameter of a tree on one day."""

    __tablename__ = "stem_diameter"
    checks = (sa.CheckConstraint("diameter_mm > 0", name="diameter_mm"),)
    id: Mapped[UUID] = mapped_column(Id, primary_key=True)
    tree_id: Mapped[UUID] = points_to("tree.id")
    measured_on: Mapped[date] = mapped_column(Day)
    diameter_mm: Mapped[float] = mapped_column(Number)
    height_m: Mapped[float] = mapped_column(Number)
    given: Mapped[str] = words()
    recorded_at: Mapped[datetime] = instant()
    supersedes_id: Mapped[UUID | None] = supersedes("stem_diameter.id")
