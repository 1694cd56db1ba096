"""All that the rules need to know of one support."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from monitor.domain.vocabulary import (
    Consequence,
    EventKind,
    Grade,
    InspectionKind,
    MemberKind,
    Occupancy,
    WorkKind,
)
from monitor.schedule.closures import Blackout, Closure
from monitor.schedule.leaf import LeafWish
from monitor.schedule.seasons import parse_seasons

FULL_KINDS = frozenset(
    {InspectionKind.BASELINE, InspectionKind.ROUTINE, InspectionKind.DETAILED}
)
"""Inspections that count for an interval; quick looks after an event do not."""


@dataclass(frozen=True, slots=True)
class Look:
    """When the readings of one series want another look.

    Attributes
    ----------
    label : as people say it, such as "settlement at the plate, north corner"
    rule : why, as a clause, such as "half of the time left until the settlement may
        reach 8 mm"
    act_early_on : when the act limit is reached at the fast bound, None if not in sight
    unconfirmed : whether the newest reading is doubtful
    """

    label: str
    look_again_on: date
    rule: str
    act_early_on: date | None
    unconfirmed: bool


@dataclass(frozen=True, slots=True)
class EventLook:
    """An extra look that an event calls for on this support.

    Attributes
    ----------
    label : as people say it, such as "storm with gusts of 95 km/h"
    done_by_on : latest day for the look
    again_days : further looks so often while the event lasts, None for one look [d]
    """

    kind: EventKind
    label: str
    happened_on: date
    done_by_on: date
    again_days: int | None = None


@dataclass(frozen=True, slots=True)
class Deferral:
    """A decision to look later than due; the next full inspection ends it.

    Attributes
    ----------
    from_on, until_on : the due date put off, and the day it is put off to
    name : who answers for it
    given_on : the day it was decided
    """

    from_on: date
    until_on: date
    reason: str
    name: str
    given_on: date


@dataclass(frozen=True, slots=True)
class Coat:
    """The coating of one member.

    Attributes
    ----------
    label : as people say it, such as "post P1"
    life_years : planned life of the coating, None if not stated [yr]
    limit_early_on : when the rusted area may reach its watch limit at the fast bound
    is_read : whether its rust is measured, which tells more than a planned life
    """

    label: str
    applied_on: date
    life_years: int | None
    limit_early_on: date | None
    is_read: bool = False


@dataclass(frozen=True, slots=True)
class History:
    """The life of one support, as far as it decides when to look again.

    Attributes
    ----------
    kinds : of the members that stand
    client_interval_months : set by a client or a statute, None if none
    inspections, works : sorted by date
    replace_by : of synthetic parts, with the date their service life ends
    quiet_seasons : as typed, see `monitor.schedule.seasons`
    worst_finding : gravest open finding: label, grade, when seen
    events : looks that events call for, also those already answered
    deferrals : in the order they were given
    blackouts : days the site is closed besides its seasons
    holidays : public ones at the site, None if none are kept there
    leaf_wish : None if the state of the crown does not matter
    """

    support_id: UUID
    code: str
    kinds: tuple[MemberKind, ...]
    occupancy: Occupancy
    consequence: Consequence
    installed_on: date
    removed_on: date | None
    client_interval_months: int | None
    client_interval_reason: str
    inspections: tuple[tuple[date, InspectionKind], ...]
    works: tuple[tuple[date, WorkKind], ...]
    replace_by: tuple[tuple[str, date], ...]
    looks: tuple[Look, ...]
    quiet_seasons: str
    worst_finding: tuple[str, Grade, date] | None
    events: tuple[EventLook, ...] = ()
    deferrals: tuple[Deferral, ...] = ()
    blackouts: tuple[Blackout, ...] = ()
    holidays: Closure | None = None
    leaf_wish: LeafWish | None = None
    coats: tuple[Coat, ...] = ()

    @property
    def closures(self) -> tuple[Closure, ...]:
        """Seasons and dates that close the site, without public holidays."""
        return (*parse_seasons(self.quiet_seasons), *self.blackouts)

    def visits(self, kinds: frozenset[InspectionKind], today: date) -> list[date]:
        """Days of such inspections up to today, in order.

        A visit dated in the future is a wrong clock; it moves no due date.
        """
        return [on for on, kind in self.inspections if kind in kinds and on <= today]
