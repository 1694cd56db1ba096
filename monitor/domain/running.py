"""What the program itself did: files taken in, jobs run."""

from dataclasses import dataclass
from datetime import datetime
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
