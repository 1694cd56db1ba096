"""What a form from the field leaves for the office to decide."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from uuid import UUID


class TaskKind(StrEnum):
    """Why the office is asked."""

    SET_ASIDE = "set aside"
    CLOCK = "wrong clock"
    ANOTHER = "another look"
    WORK = "work meanwhile"
    PHOTO = "photo not measured"


class Settled(StrEnum):
    """How a task was ended."""

    RECORDED = "recorded"
    SEEN = "seen"
    NOT_TAKEN = "not taken"


@dataclass(frozen=True, slots=True)
class FieldTask:
    """One thing to decide.

    Attributes
    ----------
    form_id : that the device gave the form
    support : code as the form names it; it may be unknown to the record
    inspection_id : root of the look it is about, None if there is none
    sentence : what is to be decided, and why
    content : the form as it came, where it is not in the record otherwise
    """

    id: UUID
    kind: TaskKind
    form_id: UUID
    support: str
    inspection_id: UUID | None
    sentence: str
    content: Mapping[str, object]
    recorded_by: str
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class FieldSettlement:
    """The decision."""

    task_id: UUID
    how: Settled
    reason: str
    recorded_by: str
    recorded_at: datetime
