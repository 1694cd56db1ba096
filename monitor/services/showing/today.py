"""What needs someone now, in the order in which it matters."""

from dataclasses import dataclass
from datetime import datetime

from monitor.domain.vocabulary import Standing
from monitor.services.showing.register import DueLine, Owed, owed_lines
from monitor.store import Session
from monitor.store.overview import DoubtfulLine, OverviewLine, doubtful, overview
from monitor.store.stale import stale_supports

AHEAD_DAYS = 30
"""How far ahead the first page looks for what comes due. [d]"""


@dataclass(frozen=True, slots=True)
class Today:
    """The state of all supports in service, gravest first.

    Attributes
    ----------
    make_safe, act, watch : by standing; holding ones are only counted
    late : inspections past their latest day
    doubtful : newest readings that want a repeat
    due_soon : inspections owed now or within 30 days
    next_due : the first inspection owed after those, None if there is none
    in_service, holding : how many supports
    waiting : supports whose conclusions are older than their facts
    """

    make_safe: tuple[OverviewLine, ...]
    act: tuple[OverviewLine, ...]
    watch: tuple[OverviewLine, ...]
    late: tuple[DueLine, ...]
    doubtful: tuple[DoubtfulLine, ...]
    due_soon: tuple[DueLine, ...]
    next_due: DueLine | None
    in_service: int
    holding: int
    waiting: int


def today(session: Session, now: datetime) -> Today:
    """What needs someone now."""
    lines = tuple(line for line in overview(session) if line.removed_on is None)
    dues = owed_lines(lines, now)
    soon = [due for due in dues if due.owed is not Owed.LATE and _is_soon(due, now)]
    rest = [due for due in dues if due.owed is Owed.NOT_YET and due not in soon]
    return Today(
        make_safe=_standing(lines, Standing.MAKE_SAFE),
        act=_standing(lines, Standing.ACT),
        watch=_standing(lines, Standing.WATCH),
        late=tuple(due for due in dues if due.owed is Owed.LATE),
        doubtful=tuple(doubtful(session)),
        due_soon=tuple(soon),
        next_due=rest[0] if rest else None,
        in_service=len(lines),
        holding=len(_standing(lines, Standing.HOLDING)),
        waiting=len(stale_supports(session)),
    )


def _standing(
    lines: tuple[OverviewLine, ...], standing: Standing
) -> tuple[OverviewLine, ...]:
    return tuple(line for line in lines if line.standing is standing)


def _is_soon(due: DueLine, now: datetime) -> bool:
    days_ahead = (due.due_on - now.date()).days
    return due.owed is Owed.DUE or days_ahead <= AHEAD_DAYS
