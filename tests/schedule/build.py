"""Valid defaults; a test states only what matters to it."""

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID

from monitor.domain.vocabulary import (
    Consequence,
    InspectionKind,
    MemberKind,
    Occupancy,
)
from monitor.schedule.due import History, Look

NOW = datetime(2026, 5, 4, 6, 0, tzinfo=UTC)
TODAY = date(2026, 5, 4)


def a_history(**changes: Any) -> History:
    """A post of 2010 over an occasionally used place, seen every year since."""
    visits = [(date(2010, 3, 14), InspectionKind.BASELINE)]
    visits += [
        (date(year, 3, 14), InspectionKind.ROUTINE) for year in range(2011, 2026)
    ]
    history = History(
        support_id=UUID("01890000-0000-7000-8000-000000000001"),
        code="VM-001",
        kinds=(MemberKind.POST,),
        occupancy=Occupancy.OCCASIONAL,
        consequence=Consequence.MINOR,
        installed_on=date(2010, 3, 14),
        removed_on=None,
        client_interval_months=None,
        client_interval_reason="",
        inspections=tuple(visits),
        works=(),
        replace_by=(),
        looks=(),
        quiet_seasons="",
        worst_finding=None,
    )
    return replace(history, **changes)


def a_look(**changes: Any) -> Look:
    """A settlement that wants another look in March 2029."""
    look = Look(
        label="settlement",
        look_again_on=date(2029, 3, 14),
        rule="half of the time left until the settlement may reach 8 mm",
        act_early_on=date(2032, 5, 20),
        unconfirmed=False,
    )
    return replace(look, **changes)
