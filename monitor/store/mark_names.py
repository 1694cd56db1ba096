"""Marks by what programs call them: an id, or the codes of support, member and mark."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.vocabulary import MemberKind
from monitor.store.lookup import AT_ONCE
from monitor.store.models import Base

_T = Base.metadata.tables
_SUPPORT, _MEMBER, _MARK = _T["support"].c, _T["member"].c, _T["mark"].c
_SPOTS = (
    sa.select(
        _MARK.id,
        _SUPPORT.code,
        _MEMBER.code,
        _MARK.code,
        _SUPPORT.id,
        _MEMBER.kind,
        _MEMBER.installed_on,
    )
    .join_from(_T["mark"], _T["member"], _MARK.member_id == _MEMBER.id)
    .join(_T["support"], _MEMBER.support_id == _SUPPORT.id)
    .order_by(_MARK.id)
)
_OF_SUPPORTS = _SPOTS.where(_SUPPORT.code.in_(sa.bindparam("keys", expanding=True)))
_BY_ID = _SPOTS.where(_MARK.id.in_(sa.bindparam("keys", expanding=True)))


@dataclass(frozen=True, slots=True)
class Spot:
    """A mark that a logger may speak of.

    Attributes
    ----------
    kind, installed_on : of its member
    """

    mark_id: UUID
    support_code: str
    member_code: str
    mark_code: str
    support_id: UUID
    kind: MemberKind
    installed_on: date


def spots_of_supports(session: Session, codes: Sequence[str]) -> list[Spot]:
    """Every mark of the supports with these codes."""
    return _found(session, _OF_SUPPORTS, codes)


def spots_by_id(session: Session, ids: Sequence[UUID]) -> list[Spot]:
    """The marks with these ids."""
    return _found(session, _BY_ID, ids)


def _found(session: Session, query: sa.Select, keys: Sequence[object]) -> list[Spot]:  # type: ignore[type-arg]
    return [
        Spot(*row)
        for start in range(0, len(keys), AT_ONCE)
        for row in session.execute(query, {"keys": keys[start : start + AT_ONCE]})
    ]
