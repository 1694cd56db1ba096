"""A support, its members, their as-built facts and marks."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from monitor.domain.vocabulary import Consequence, LimitBasis, MemberKind, Occupancy


@dataclass(frozen=True, slots=True)
class Support:
    """One system installed to hold a tree or limb.

    Attributes
    ----------
    code : on the tag, unique
    reason : the defect or weakness it answers
    target : what stands or passes beneath
    interval_months : interval set by a client or a statute, None if none
    interval_reason : who set it and why
    """

    id: UUID
    tree_id: UUID
    code: str
    reason: str
    target: str
    occupancy: Occupancy
    consequence: Consequence
    installed_on: date
    removed_on: date | None
    installer_id: UUID | None
    interval_months: int | None
    interval_reason: str
    note: str
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class Member:
    """One installed post, pin, cable, rod or guy.

    Attributes
    ----------
    code : unique within the support, such as "P1"
    bearing_deg : compass bearing of the +x axis of its tilt readings [deg], if known
    """

    id: UUID
    support_id: UUID
    code: str
    kind: MemberKind
    installed_on: date
    removed_on: date | None
    removal_note: str
    bearing_deg: float | None
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class Fact:
    """One as-built fact of a member, as in `monitor.domain.facts`.

    Attributes
    ----------
    number : canonical value, None for words, choices and dates
    given : as typed
    """

    id: UUID
    member_id: UUID
    name: str
    number: float | None
    given: str
    recorded_at: datetime
    supersedes_id: UUID | None


@dataclass(frozen=True, slots=True)
class Mark:
    """A named spot on a member where a reading is always taken."""

    id: UUID
    member_id: UUID
    code: str
    note: str
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class LimitOverride:
    """Watch and act values set for one support, in place of the defaults."""

    id: UUID
    support_id: UUID
    series: str
    basis: LimitBasis
    watch: float
    act: float
    reason: str
    recorded_at: datetime
    supersedes_id: UUID | None
