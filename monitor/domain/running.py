"""What the program itself did: files taken in, jobs run."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID


@dataclass(frozen=True, slots=True)
class ImportedFile:
    """A file that was taken in.

    Attributes
    ----------
    rows_taken, rows_known, rows_refused : new, already in the record, bad
    """

    id: UUID
    file_name: str
    sha256: str
    kind: str
    rows_taken: int
    rows_known: int
    rows_refused: int
    recorded_by: str
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class JobRun:
    """One run of one job; `finished_at` is None while it runs or if it was killed."""

    id: UUID
    job: str
    started_at: datetime
    finished_at: datetime | None
    outcome: str
    summary: str


@dataclass(frozen=True, slots=True)
class Watched:
    """A job that is missed if it does not come to its end often enough.

    Attributes
    ----------
    silence : longest time between two good ends before somebody must look
    """

    job: str
    about: str
    silence: timedelta
