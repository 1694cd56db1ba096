"""What needs someone now, in the order in which it matters."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Generic, TypeVar

from monitor.domain.vocabulary import Standing
from monitor.services.showing.register import DueLine, owed_lines, zones_by_day
from monitor.store import Session, support_search
from monitor.store.overview import (
    DoubtfulLine,
    OverviewLine,
    doubtful,
    overview,
)
from monitor.store.stale import stale_supports
from monitor.store.support_search import FoundIds

L = TypeVar("L")

AHEAD_DAYS = 30
"""How far ahead the first page looks for what comes due. [d]"""

MOST = 8
"""How many of a kind are read; of the rest only the number."""


@dataclass(frozen=True, slots=True)
class Few(Generic[L]):
    """The first few of a kind, and how many there are in all."""

    lines: tuple[L, ...]
    total: int

    @property
    def rest(self) -> int:
        """How many are not among the first few."""
        return self.total - len(self.lines)


@dataclass(frozen=True, slots=True)
class Today:
    """The state of all supports in service, gravest first.

    Attributes
    ----------
    make_safe, act : by standing; the others are only counted
    late : inspections past their latest day
    doubtful : newest readings that want a repeat
    due_soon : inspections owed now or within 30 days, the last of them on `soon_until`
    next_due : the first inspection owed after those, None if there is none
    in_service, watch, holding : how many supports
    waiting : supports whose conclusions are older than their facts
    """

    make_safe: Few[OverviewLine]
    act: Few[OverviewLine]
    late: Few[DueLine]
    doubtful: Few[DoubtfulLine]
    due_soon: Few[DueLine]
    soon_until: date | None
    next_due: DueLine | None
    in_service: int
    watch: int
    holding: int
    waiting: int


def today(session: Session, now: datetime) -> Today:
    """What needs someone now."""
    standings = support_search.count_standings(session)
    late = support_search.is_late(zones_by_day(session, now))
    ahead = now.date() + timedelta(AHEAD_DAYS)
    soon = [~late, support_search.is_due_by(ahead)]
    later = [~late, support_search.is_due_after(ahead)]
    in_service, _, _ = support_search.count_trees(session)
    first = overview(session, support_search.next_owed(session, later))
    next_due = owed_lines(tuple(first), now)
    return Today(
        make_safe=_standing(session, Standing.MAKE_SAFE, standings),
        act=_standing(session, Standing.ACT, standings),
        late=_dues(session, support_search.owed(session, [late], most=MOST), now),
        doubtful=_doubtful(session),
        due_soon=_dues(session, support_search.owed(session, soon, most=MOST), now),
        soon_until=support_search.last_due_on(session, soon),
        next_due=next_due[0] if next_due else None,
        in_service=in_service,
        watch=standings.get(Standing.WATCH, 0),
        holding=standings.get(Standing.HOLDING, 0),
        waiting=len(stale_supports(session)),
    )


def _standing(
    session: Session, standing: Standing, counts: dict[Standing, int]
) -> Few[OverviewLine]:
    total = counts.get(standing, 0)
    if not total:
        return Few((), 0)
    ids = support_search.at_standing(session, standing, most=MOST)
    return Few(tuple(overview(session, ids)), total)


def _dues(session: Session, found: FoundIds, now: datetime) -> Few[DueLine]:
    if not found.ids:
        return Few((), found.total)
    lines = tuple(overview(session, found.ids))
    return Few(owed_lines(lines, now), found.total)


def _doubtful(session: Session) -> Few[DoubtfulLine]:
    lines = tuple(doubtful(session))
    return Few(lines[:MOST], len(lines))
