"""What is owed, a few of each group or one group a page at a time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from monitor.services.showing.register import DueLine, Owed, owed_lines, zones_by_day
from monitor.store import Session, owed_groups
from monitor.store.overview import overview
from monitor.store.owed_groups import OwedSearch

FEW = 12
"""How many of a group are shown beside the other groups."""

ON_A_PAGE = 50
"""How many of a group are shown where it stands alone."""

MONTHS_SHOWN = 6
_PRESSING = (Owed.LATE, Owed.DUE, Owed.OPEN)


@dataclass(frozen=True, slots=True)
class DueChoice:
    """What of it is asked for.

    Attributes
    ----------
    site, kind : name of the only site and kind of member, empty for all
    part : the only group, "late", "due", "open" or a month as "2031-05"; empty for all
    page : of that group, counted from 1
    """

    site: str = ""
    kind: str = ""
    part: str = ""
    page: int = 1


@dataclass(frozen=True, slots=True)
class DuePart:
    """Some lines under one heading: late, owed now, or a month to come.

    Attributes
    ----------
    month : first day of the month to come, None for what is late or open
    total : how many there are in all
    """

    name: str
    owed: Owed
    month: date | None
    lines: tuple[DueLine, ...]
    total: int


@dataclass(frozen=True, slots=True)
class DuePage:
    """What is owed.

    Attributes
    ----------
    totals : how many of each group, whatever the choice
    parts : of what was chosen, in the order in which it wants doing
    later : how many come after the months that are shown
    page : of the one group, counted from 1
    sites, kinds : what may be chosen
    """

    totals: Mapping[str, int]
    parts: tuple[DuePart, ...]
    later: int
    page: int
    sites: tuple[str, ...]
    kinds: tuple[str, ...]


def due_page(session: Session, now: datetime, choice: DueChoice) -> DuePage:
    """What is owed, of what was chosen."""
    days = zones_by_day(session, now)
    search = OwedSearch(days, choice.site, choice.kind)
    if choice.part:
        found = _one_group(session, search, choice)
    else:
        first = owed_groups.first_of_groups(session, search, most=FEW)
        totals = owed_groups.count_groups(session, search)
        shown, later = _shown(totals)
        ids = [one.support_id for one in first if one.group in shown]
        found = _Found(totals, shown, ids, later)
    lines = owed_lines(tuple(overview(session, found.ids)) if found.ids else (), now)
    is_whole = not (choice.site or choice.kind)
    everything = OwedSearch(days)
    return DuePage(
        found.totals if is_whole else owed_groups.count_groups(session, everything),
        tuple(_part(name, found.totals[name], lines) for name in found.shown),
        found.later,
        found.page,
        tuple(owed_groups.site_names(session)),
        tuple(kind.value for kind in owed_groups.kinds_standing(session)),
    )


@dataclass(frozen=True, slots=True)
class _Found:
    totals: Mapping[str, int]
    shown: Sequence[str]
    ids: Sequence[UUID]
    later: int = 0
    page: int = 1


def _one_group(session: Session, search: OwedSearch, choice: DueChoice) -> _Found:
    totals = owed_groups.count_groups(session, search)
    if choice.part not in totals:
        return _Found(totals, (), ())
    page = min(max(choice.page, 1), pages_of(totals[choice.part]))
    ids = owed_groups.page_of_group(
        session, search, choice.part, skip=(page - 1) * ON_A_PAGE, most=ON_A_PAGE
    )
    return _Found(totals, [choice.part], ids, page=page)


def pages_of(total: int) -> int:
    """How many pages a group fills, at least one."""
    return max(1, -(-total // ON_A_PAGE))


def _shown(totals: Mapping[str, int]) -> tuple[list[str], int]:
    """Names of the groups that are shown, and how many supports come after them."""
    pressing = [owed.value for owed in _PRESSING if owed.value in totals]
    months = sorted(totals.keys() - pressing)
    after = sum(totals[name] for name in months[MONTHS_SHOWN:])
    return [*pressing, *months[:MONTHS_SHOWN]], after


def _part(name: str, total: int, lines: tuple[DueLine, ...]) -> DuePart:
    mine = tuple(line for line in lines if part_of(line) == name)
    if name in {owed.value for owed in _PRESSING}:
        return DuePart(name, Owed(name), None, mine, total)
    return DuePart(name, Owed.NOT_YET, month_of(name), mine, total)


def month_of(name: str) -> date:
    """First day of the month that a group is named for."""
    return date.fromisoformat(f"{name}-01")


def part_of(line: DueLine) -> str:
    """Name of the group that a line belongs to."""
    return f"{line.due_on:%Y-%m}" if line.owed is Owed.NOT_YET else line.owed.value
