"""How long a visit takes on site: learnt from past visits, else usual minutes.

Two visits that one person saves one after the other at the same site are apart by the
time that the later one took. Where devices noted no time, the usual minutes stand,
which are common practice without a source.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from statistics import median

from monitor.domain.vocabulary import InspectionKind, MemberKind

Work = tuple[InspectionKind, MemberKind]

COMMON_PRACTICE = "common practice, no source"
FEWEST_VISITS = 8
"""Fewer say too little; own choice."""
SHORTEST_MIN, LONGEST_MIN = 2.0, 180.0
"""A gap beyond these is no visit: two forms saved together, or a break."""

_QUICK_MIN = 7.0
_NEW_MIN = 75.0
_AFTER_WORK_MIN = 30.0
_ROUTINE_MIN = {
    MemberKind.POST: 20.0,
    MemberKind.PIN: 15.0,
    MemberKind.CABLE: 12.0,
    MemberKind.ROD: 12.0,
    MemberKind.GUY: 32.0,
}
_DETAILED_MIN = {
    MemberKind.POST: 45.0,
    MemberKind.PIN: 30.0,
    MemberKind.CABLE: 60.0,
    MemberKind.ROD: 60.0,
    MemberKind.GUY: 40.0,
}
"""A cable or rod within reach is climbed to, or reached from a platform."""


@dataclass(frozen=True, slots=True)
class Minutes:
    """Time on site and where it comes from.

    Attributes
    ----------
    source : "common practice, no source" or "learnt from 14 visits"
    """

    minutes: float
    source: str


@dataclass(frozen=True, slots=True)
class PastVisit:
    """A visit with the time its form was saved."""

    inspector: str
    site: str
    saved_at: datetime
    kind: InspectionKind
    members: tuple[MemberKind, ...]


def learn_minutes(visits: Iterable[PastVisit]) -> dict[Work, Minutes]:
    """Median minutes by kind of inspection and member, where enough is known."""
    rows: dict[tuple[str, str], list[PastVisit]] = defaultdict(list)
    for visit in visits:
        rows[visit.inspector, visit.site].append(visit)
    gaps: dict[Work, list[float]] = defaultdict(list)
    for row in rows.values():
        for earlier, later in pairwise(sorted(row, key=lambda v: v.saved_at)):
            minutes = (later.saved_at - earlier.saved_at).total_seconds() / 60
            if SHORTEST_MIN <= minutes <= LONGEST_MIN and later.members:
                gaps[later.kind, leading(later.kind, later.members)].append(minutes)
    return {
        work: Minutes(median(found), f"learnt from {len(found)} visits")
        for work, found in gaps.items()
        if len(found) >= FEWEST_VISITS
    }


def minutes_of(
    kind: InspectionKind, members: Sequence[MemberKind], learnt: Mapping[Work, Minutes]
) -> Minutes:
    """Minutes for one support; further kinds of member add half of theirs."""
    if not members:
        return Minutes(usual_minutes(kind, MemberKind.POST), COMMON_PRACTICE)
    found = learnt.get((kind, leading(kind, members)))
    if found is not None:
        return found
    each = sorted((usual_minutes(kind, m) for m in set(members)), reverse=True)
    if kind in (InspectionKind.ROUTINE, InspectionKind.DETAILED):
        return Minutes(each[0] + sum(each[1:]) / 2, COMMON_PRACTICE)
    return Minutes(each[0], COMMON_PRACTICE)


def usual_minutes(kind: InspectionKind, member: MemberKind) -> float:
    """Usual minutes on site; common practice, no source. [min]"""
    match kind:
        case InspectionKind.BASELINE:
            return _NEW_MIN
        case InspectionKind.AFTER_EVENT:
            return _QUICK_MIN
        case InspectionKind.AFTER_WORK:
            return _AFTER_WORK_MIN
        case InspectionKind.DETAILED:
            return _DETAILED_MIN[member]
        case InspectionKind.ROUTINE:
            return _ROUTINE_MIN[member]


def leading(kind: InspectionKind, members: Iterable[MemberKind]) -> MemberKind:
    """The member that usually takes longest."""
    return max(sorted(set(members)), key=lambda member: usual_minutes(kind, member))
