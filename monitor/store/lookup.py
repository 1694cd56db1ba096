"""Finding many records by many keys, in few questions."""

from collections.abc import Iterable
from typing import TypeVar

from sqlalchemy.orm import Session

from monitor.store.repository import Repository

R = TypeVar("R")
AT_ONCE = 10_000  # below the 32,766 parameters one SQLite statement takes


def all_in(
    session: Session, repository: Repository[R], column: str, keys: Iterable[object]
) -> list[R]:
    """Every record whose column holds one of the keys."""
    wanted = list(dict.fromkeys(keys))
    found: list[R] = []
    for start in range(0, len(wanted), AT_ONCE):
        some = wanted[start : start + AT_ONCE]
        found += repository.all(session, repository.table.c[column].in_(some))
    return found
