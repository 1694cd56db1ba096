"""All that the rules need to know of one support."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from monitor.domain.vocabulary import (
    Consequence,
    Grade,
    InspectionKind,
    MemberKind,
    Occupancy,
    WorkKind,
)

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

    def visits(self, kinds: frozenset[InspectionKind], today: date) -> list[date]:
        """Days of such inspections up to today, in order.

        A visit dated in the future is a wrong clock; it moves no due date.
        """
        return [on for on, kind in self.inspections if kind in kinds and on <= today]
