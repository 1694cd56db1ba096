"""Records by the page, in the order of their keys: for whoever reads all of them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.store.models import Base
from monitor.store.repository import Repository, as_known

R = TypeVar("R")
_T = Base.metadata.tables


@dataclass(frozen=True, slots=True)
class PageWish:
    """Which records are wanted.

    Attributes
    ----------
    limit : how many at most
    after : key of the last one before them; empty from the beginning
    support_id : only what belongs to this support
    equals : values by column
    """

    limit: int
    after: tuple[Any, ...] = ()
    support_id: UUID | None = None
    equals: Mapping[str, object] = field(default_factory=dict)


def page_of(session: Session, repository: Repository[R], wish: PageWish) -> list[R]:
    """What stands, in the order of the key; withdrawn entries are left out."""
    table = repository.table
    where = [*as_known(table, None)]
    where += [table.c[name] == value for name, value in wish.equals.items()]
    if "withdrawn" in table.c:
        where.append(table.c.withdrawn == sa.literal(False, table.c.withdrawn.type))
    if wish.support_id is not None:
        where.append(_of_support(table, wish.support_id))
    keys = list(table.primary_key)
    if wish.after:
        where.append(_beyond(keys, wish.after))
    query = sa.select(table.c[keys[0].name]).with_only_columns(*keys)
    query = query.where(*where).order_by(*keys).limit(wish.limit)
    found = session.execute(query).all()
    if not found:
        return []
    return repository.all(session, *where, ~_beyond(keys, tuple(found[-1])))


def _beyond(
    keys: Sequence[sa.Column[Any]], last: tuple[Any, ...]
) -> sa.ColumnElement[bool]:
    values = [sa.literal(v, k.type) for k, v in zip(keys, last, strict=True)]
    return sa.tuple_(*keys) > sa.tuple_(*values)


def _of_support(table: sa.Table, support_id: UUID) -> sa.ColumnElement[bool]:
    """The rows that hang on a support, directly or through member, mark or visit."""
    if table.name == "support":
        return table.c.id == support_id
    if "support_id" in table.c:
        return table.c.support_id == support_id
    member, mark, inspection = _T["member"], _T["mark"], _T["inspection"]
    if "inspection_id" in table.c:
        roots = sa.select(inspection.c.root_id).where(
            inspection.c.support_id == support_id
        )
        return table.c.inspection_id.in_(roots)
    members = sa.select(member.c.id).where(member.c.support_id == support_id)
    if "member_id" in table.c:
        return table.c.member_id.in_(members)
    marks = sa.select(mark.c.id).where(mark.c.member_id.in_(members))
    return table.c.mark_id.in_(marks)
