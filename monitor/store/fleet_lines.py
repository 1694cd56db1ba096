"""Every member and every concluded series in one lean line each."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.vocabulary import Exposure, MemberKind, WorkKind
from monitor.store.models import Base
from monitor.store.repository import as_known

_T = Base.metadata.tables


@dataclass(frozen=True, slots=True)
class MemberLine:
    """One member, standing or not, with what it may be grouped by.

    Attributes
    ----------
    installer, soil : empty if not noted
    """

    member_id: UUID
    support_id: UUID
    support: str
    code: str
    kind: MemberKind
    installed_on: date
    removed_on: date | None
    installer: str
    exposure: Exposure | None
    soil: str


@dataclass(frozen=True, slots=True)
class SeriesLine:
    """What is concluded of one series of a member that stands.

    Attributes
    ----------
    rate, rate_low, rate_high : middling and 90 % bounds [unit per year]
    evidence : e-value against "it is still"
    act_early_on, act_median_on : when it may, and most likely will, want action
    """

    member_id: UUID
    mark: str
    series: str
    readings: int
    rate: float | None
    rate_low: float | None
    rate_high: float | None
    evidence: float | None
    p_beyond_act: float | None
    act_early_on: date | None
    act_median_on: date | None


def member_lines(session: Session) -> tuple[MemberLine, ...]:
    """Every member, by support and code."""
    member, support, tree = _T["member"], _T["support"], _T["tree"]
    site, party = _T["site"], _T["party"]
    query = (
        sa.select(
            member.c.id,
            support.c.id,
            support.c.code,
            member.c.code,
            member.c.kind,
            member.c.installed_on,
            member.c.removed_on,
            sa.func.coalesce(party.c.name, ""),
            site.c.exposure,
            site.c.soil,
        )
        .join(support, support.c.id == member.c.support_id)
        .join(tree, tree.c.id == support.c.tree_id)
        .join(site, site.c.id == tree.c.site_id)
        .outerjoin(party, party.c.id == support.c.installer_id)
        .order_by(support.c.code, member.c.code)
    )
    return tuple(MemberLine(*tuple(row)) for row in session.execute(query))


def series_lines(session: Session) -> tuple[SeriesLine, ...]:
    """Every series of members that stand, of which something is concluded."""
    outlook, mark = _T["outlook"], _T["mark"]
    member, support = _T["member"], _T["support"]
    query = (
        sa.select(
            member.c.id,
            mark.c.code,
            outlook.c.series,
            outlook.c.readings,
            outlook.c.rate,
            outlook.c.rate_low,
            outlook.c.rate_high,
            outlook.c.evidence,
            outlook.c.p_beyond_act,
            outlook.c.act_early_on,
            outlook.c.act_median_on,
        )
        .join(mark, mark.c.id == outlook.c.mark_id)
        .join(member, member.c.id == mark.c.member_id)
        .join(support, support.c.id == member.c.support_id)
        .where(
            member.c.removed_on.is_(None),
            support.c.removed_on.is_(None),
            outlook.c.refusal == "",
        )
        .order_by(support.c.code, member.c.code, mark.c.code, outlook.c.series)
    )
    return tuple(SeriesLine(*row) for row in session.execute(query))


def facts_named(session: Session, *names: str) -> dict[str, dict[UUID, str]]:
    """What stands of some facts as it was given: by name, then by member."""
    fact = _T["fact"]
    query = sa.select(fact.c.name, fact.c.member_id, fact.c.given).where(
        fact.c.name.in_(names), *as_known(fact, None)
    )
    found: dict[str, dict[UUID, str]] = {name: {} for name in names}
    for name, member_id, given in session.execute(query):
        found[name][member_id] = given
    return found


def works_of_kind(
    session: Session, kind: WorkKind
) -> tuple[tuple[UUID, UUID | None, date], ...]:
    """Support, member if one was named, and day of every such work, oldest first."""
    work = _T["work"]
    query = (
        sa.select(work.c.support_id, work.c.member_id, work.c.done_on)
        .where(
            work.c.kind == kind,
            work.c.withdrawn == sa.literal(False, work.c.withdrawn.type),
            *as_known(work, None),
        )
        .order_by(work.c.done_on)
    )
    return tuple((s, m, on) for s, m, on in session.execute(query))
