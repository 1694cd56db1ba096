"""The register and the dues as the pages show them."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from itertools import groupby

from monitor.clock import local_date
from monitor.store import Session
from monitor.store.overview import OverviewLine, overview
from monitor.store.support_search import time_zones

__all__ = ["DueGroup", "DueLine", "OverviewLine", "Owed", "due_list", "register"]


class Owed(StrEnum):
    """Where a support's next inspection stands in its window."""

    LATE = "late"
    DUE = "due"
    OPEN = "open"
    NOT_YET = "not yet"


@dataclass(frozen=True, slots=True)
class DueLine:
    """One inspection that is owed, and where today falls in its window.

    Attributes
    ----------
    days_late : days since the latest day allowed; 0 or less if it is not late
    """

    line: OverviewLine
    due_on: date
    late_on: date
    owed: Owed
    days_late: int


@dataclass(frozen=True, slots=True)
class DueGroup:
    """Lines under one heading: late, owed now, or a month to come.

    Attributes
    ----------
    month : first day of the month to come, None for what is late or open
    """

    owed: Owed
    month: date | None
    lines: tuple[DueLine, ...]


def register(session: Session) -> tuple[OverviewLine, ...]:
    """Every support, removed ones included, in the order of its code."""
    return tuple(overview(session))


def owed_lines(lines: tuple[OverviewLine, ...], now: datetime) -> tuple[DueLine, ...]:
    """What is owed on supports in service, earliest first."""
    owed = [
        _due_line(line, line.due_on, line.late_on, now)
        for line in lines
        if line.removed_on is None
        and line.due_on is not None
        and line.late_on is not None
    ]
    return tuple(sorted(owed, key=lambda due: (due.due_on, due.line.code)))


def due_list(session: Session, now: datetime) -> tuple[DueGroup, ...]:
    """What is owed, in the order in which it wants doing."""
    lines = owed_lines(register(session), now)
    groups = []
    for owed in (Owed.LATE, Owed.DUE, Owed.OPEN):
        chosen = tuple(due for due in lines if due.owed is owed)
        if chosen:
            groups.append(DueGroup(owed, None, chosen))
    later = (due for due in lines if due.owed is Owed.NOT_YET)
    for month, dues in groupby(later, key=lambda due: due.due_on.replace(day=1)):
        groups.append(DueGroup(Owed.NOT_YET, month, tuple(dues)))
    return tuple(groups)


def zones_by_day(session: Session, now: datetime) -> dict[date, Sequence[str]]:
    """The civil dates that it is at the sites now, and where it is so."""
    found: dict[date, list[str]] = defaultdict(list)
    for zone in time_zones(session):
        found[local_date(now, zone)].append(zone)
    return dict(found)


def _due_line(
    line: OverviewLine, due_on: date, late_on: date, now: datetime
) -> DueLine:
    today = local_date(now, line.timezone)
    days_late = (today - late_on).days
    return DueLine(
        line, due_on, late_on, _owed(line, due_on, late_on, today), days_late
    )


def _owed(line: OverviewLine, due_on: date, late_on: date, today: date) -> Owed:
    if today > late_on:
        return Owed.LATE
    if today >= due_on:
        return Owed.DUE
    if line.opens_on is not None and today >= line.opens_on:
        return Owed.OPEN
    return Owed.NOT_YET
