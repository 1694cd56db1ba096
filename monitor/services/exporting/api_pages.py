"""Pages of the record for programs: what stands, by support where one is named."""

from dataclasses import replace
from typing import TypeVar
from uuid import UUID

from monitor.errors import NotFound
from monitor.services.recording.checks import near, plain
from monitor.store import Session, records
from monitor.store.pages import PageWish, page_of
from monitor.store.repository import Repository

R = TypeVar("R")


def page(
    session: Session,
    repository: Repository[R],
    wish: PageWish,
    support: str = "",
) -> list[R]:
    """The records of one page, in the order of their keys.

    Raises
    ------
    NotFound : no support has that code
    """
    if support:
        wish = replace(wish, support_id=_support_id(session, support))
    return page_of(session, repository, wish)


def _support_id(session: Session, code: str) -> UUID:
    found = records.SUPPORTS.find(session, code=code)
    if found is not None:
        return found.id
    by_code = {plain(s.code): s for s in records.SUPPORTS.all(session)}
    if plain(code) in by_code:
        return by_code[plain(code)].id
    raise NotFound("support", code, hint=near(code, by_code)[2:])
