"""Decisions about when to look: policies, calls after events, deferrals, closures."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from monitor.domain.vocabulary import LeafState, Standing


@dataclass(frozen=True, slots=True)
class PolicyVersion:
    """One version of the duty-holder's policy, as it was adopted.

    Attributes
    ----------
    version : 1, 2, 3, ...; the highest is in force
    content : the policy as plain data, as in `monitor.schedule.policy_record`
    reason : why it was adopted
    """

    id: UUID
    version: int
    name: str
    # Plain data is any mix of dicts, lists, words and numbers.
    content: dict[str, Any]
    reason: str
    adopted_by: str
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class EventCall:
    """A support that was called to an extra look, as it was decided on that day.

    Attributes
    ----------
    place : 1 for the support to be looked at first, in order of risk
    label : as people say it, such as "storm with gusts of 95 km/h (26 m/s)"
    happened_on : from when a look answers it
    again_days : further looks so often while the event lasts, None for one look [d]
    standing : how the support stood when it was called
    """

    id: UUID
    event_id: UUID
    support_id: UUID
    place: int
    label: str
    happened_on: date
    done_by_on: date
    again_days: int | None
    standing: Standing
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class DeferralEntry:
    """An inspection put off on purpose; withdrawn by an entry that supersedes it.

    Attributes
    ----------
    rule : code of the rule that was put off
    from_on, until_on : the day that rule named, and the day it is put off to
    name : who answers for it
    given_on : the day it was decided, at the site
    """

    id: UUID
    support_id: UUID
    rule: str
    from_on: date
    until_on: date
    reason: str
    name: str
    given_on: date
    withdrawn: bool
    recorded_by: str
    recorded_at: datetime
    supersedes_id: UUID | None


@dataclass(frozen=True, slots=True)
class SiteClosure:
    """Days a client keeps a site closed, both included, once."""

    id: UUID
    site_id: UUID
    first_on: date
    last_on: date
    reason: str
    withdrawn: bool
    recorded_by: str
    recorded_at: datetime
    supersedes_id: UUID | None


@dataclass(frozen=True, slots=True)
class CrownWish:
    """In which state the crown is wanted when a support is looked at.

    Attributes
    ----------
    state : None if the wish was taken back
    leaf_out, leaf_fall : month and day, such as "04-20", on which the crown comes into
        leaf and is bare again
    """

    id: UUID
    support_id: UUID
    state: LeafState | None
    leaf_out: str
    leaf_fall: str
    recorded_by: str
    recorded_at: datetime
    supersedes_id: UUID | None
