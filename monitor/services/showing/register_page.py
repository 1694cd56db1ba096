"""The register a page at a time: what fits some words, in some order."""

from dataclasses import dataclass

from monitor.errors import InvalidInput
from monitor.store import Session, support_search
from monitor.store.overview import OverviewLine, overview
from monitor.store.support_search import ORDERS, SupportSearch

__all__ = ["ON_A_PAGE", "ORDERS", "Census", "SupportSearch", "census", "found_lines"]

ON_A_PAGE = 50
"""How many supports one page of the register shows."""


@dataclass(frozen=True, slots=True)
class Census:
    """How many supports are in service, under how many trees, and how many are gone."""

    in_service: int
    trees: int
    removed: int


@dataclass(frozen=True, slots=True)
class FoundLines:
    """One page of what fits.

    Attributes
    ----------
    page : counted from 1; the last one if there are not so many
    """

    lines: tuple[OverviewLine, ...]
    total: int
    page: int

    @property
    def pages(self) -> int:
        """How many pages there are, at least one."""
        return max(1, -(-self.total // ON_A_PAGE))


def census(session: Session) -> Census:
    """How many there are."""
    return Census(*support_search.count_trees(session))


def found_lines(session: Session, search: SupportSearch, page: int) -> FoundLines:
    """One page of the supports that fit.

    Raises
    ------
    InvalidInput : there is no such order
    """
    if search.order not in ORDERS:
        raise InvalidInput(
            f"The register has no order “{search.order}”; it has {', '.join(ORDERS)}.",
            field="order",
        )
    skip = (max(page, 1) - 1) * ON_A_PAGE
    found = support_search.search_supports(session, search, skip=skip, most=ON_A_PAGE)
    if not found.ids and found.total:
        last = -(-found.total // ON_A_PAGE)
        return found_lines(session, search, last)
    lines = tuple(overview(session, found.ids)) if found.ids else ()
    return FoundLines(lines, found.total, skip // ON_A_PAGE + 1)


def all_lines(session: Session, search: SupportSearch) -> tuple[OverviewLine, ...]:
    """Every support that fits, for a file."""
    if not search.words.strip() and search.order == "code":
        lines = overview(session)
        return tuple(reversed(lines) if search.is_descending else lines)
    ids = support_search.search_supports(session, search).ids
    wanted = set(ids)
    place = {key: n for n, key in enumerate(ids)}
    lines = [line for line in overview(session) if line.support_id in wanted]
    return tuple(sorted(lines, key=lambda line: place[line.support_id]))


def found_codes(
    session: Session, search: SupportSearch, *, most: int
) -> tuple[str, ...]:
    """Codes of those that fit and are in service, so many at most."""
    found = support_search.search_supports(session, search, most=most)
    lines = overview(session, found.ids) if found.ids else []
    return tuple(line.code for line in lines if line.removed_on is None)
