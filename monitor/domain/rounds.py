"""Rounds that were agreed, and the travel table of the house."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

Way = tuple[str, str, float]
"""From the site of one code to that of another: minutes or kilometres."""


@dataclass(frozen=True, slots=True)
class AgreedRound:
    """One version of the round of one person on one day.

    Attributes
    ----------
    root_id : the same in every version
    version : 1, 2, 3, ...; the highest counts
    skills : with commas, None if nothing was said
    begins_min, ends_min : hours of the person [minute of the day]
    break_min : kept free within them [min]
    start : code of the site where the day begins and ends; empty for the middle
    leaves_min, back_min : [minute of the day]
    travel_min : on the road in all, set-up included [min]
    withdrawn : whether this version takes the round back
    reason : why it was taken back, or empty
    """

    id: UUID
    root_id: UUID
    version: int
    person: str
    skills: str | None
    begins_min: int
    ends_min: int
    break_min: int
    planned_on: date
    start: str
    leaves_min: int
    back_min: int
    travel_min: int
    withdrawn: bool
    reason: str
    recorded_by: str
    recorded_at: datetime
    supersedes_id: UUID | None


@dataclass(frozen=True, slots=True)
class AgreedStop:
    """One visit of an agreed round.

    Attributes
    ----------
    place : 1 for the first of the day
    begins_min, ends_min : of the work [minute of the day]
    travel_min : from the stop before, set-up included [min]
    is_pinned : whether it stays with this person on this day when the rest is planned
        anew
    """

    id: UUID
    round_id: UUID
    place: int
    support_id: UUID
    begins_min: int
    ends_min: int
    travel_min: int
    is_pinned: bool


@dataclass(frozen=True, slots=True)
class TravelTable:
    """One version of the user's own table of ways.

    Attributes
    ----------
    version : 1, 2, 3, ...; the highest counts
    unit : "min" or "km"
    ways : none if the table was taken back
    """

    id: UUID
    version: int
    file_name: str
    unit: str
    ways: tuple[Way, ...]
    recorded_by: str
    recorded_at: datetime
