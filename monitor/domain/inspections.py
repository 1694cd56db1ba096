"""What was seen, read, done and photographed, and when."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from monitor.domain.vocabulary import Answer, Grade, InspectionKind, LeafState, WorkKind


@dataclass(frozen=True, slots=True)
class Instrument:
    """A gauge or level in use, with how it reads."""

    id: UUID
    code: str
    method: str
    serial: str
    calibrated_on: date | None
    note: str
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class Inspection:
    """One support looked at by one person at one moment.

    A correction is a new entry with the same `root_id`; readings point at the root.

    Attributes
    ----------
    root_id : id of the first entry of this inspection; its own id if it is the first
    inspected_on : civil date at the site
    device_at : what the inspector's device said the time was, None if on paper
    recorded_at : when it reached this record
    air_c : air temperature [degC], None if not noted
    source : "page", "import", "command" or the like
    withdrawn : whether this entry says that the superseded one never happened
    """

    id: UUID
    root_id: UUID
    support_id: UUID
    kind: InspectionKind
    inspected_on: date
    inspector: str
    device_at: datetime | None
    air_c: float | None
    leaf: LeafState | None
    note: str
    source: str
    withdrawn: bool
    recorded_by: str
    recorded_at: datetime
    supersedes_id: UUID | None
    reason: str


@dataclass(frozen=True, slots=True)
class Reading:
    """One number as typed and in the canonical unit, with its noise.

    Attributes
    ----------
    quantity : name in the catalogue, such as "tilt_x"
    repeat : 1 for the first reading of a day, 2 for its repeat, ...
    answer : measured, or why there is no number
    value : canonical [unit of the quantity], None unless measured
    relation : "=", or "<" and ">" for readings beyond the instrument's range
    given : as typed, unit included
    sd_instrument, sd_placement, resolution : declared noise [unit of the quantity]
    reason : why a correction was made, or why it could not be reached
    """

    id: UUID
    inspection_id: UUID
    mark_id: UUID
    quantity: str
    repeat: int
    answer: Answer
    value: float | None
    relation: str
    given: str
    method: str
    instrument_id: UUID | None
    sd_instrument: float
    sd_placement: float
    resolution: float
    reason: str
    recorded_at: datetime
    supersedes_id: UUID | None


@dataclass(frozen=True, slots=True)
class Finding:
    """A coded observation with a grade; a correction keeps the `root_id`."""

    id: UUID
    root_id: UUID
    inspection_id: UUID
    member_id: UUID | None
    code: str
    grade: Grade
    note: str
    recorded_at: datetime
    supersedes_id: UUID | None


@dataclass(frozen=True, slots=True)
class Closure:
    """A finding that no longer stands, and what ended it."""

    id: UUID
    finding_id: UUID
    closed_on: date
    work_id: UUID | None
    reason: str
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class Photo:
    """A photograph, kept under the hash of its bytes."""

    id: UUID
    support_id: UUID
    inspection_id: UUID | None
    member_id: UUID | None
    sha256: str
    media_type: str
    size_bytes: int
    taken_on: date | None
    caption: str
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class Work:
    """An adjustment, repair, repaint, replacement or removal.

    A correction is a new entry with the same `root_id`; segments point at the root.
    """

    id: UUID
    root_id: UUID
    support_id: UUID
    member_id: UUID | None
    kind: WorkKind
    done_on: date
    done_by: str
    note: str
    withdrawn: bool
    recorded_by: str
    recorded_at: datetime
    supersedes_id: UUID | None


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of one series that starts anew after work on it.

    The stretch from installation to the first work needs no row.
    """

    id: UUID
    mark_id: UUID
    series: str
    starts_on: date
    work_id: UUID
    recorded_at: datetime


def starts_new_segment(kind: WorkKind, series: str) -> bool:
    """Whether work of that kind breaks the line of that series, unless said otherwise.

    Common practice, no source: after a repair, replacement or new datum nothing is
    comparable; an adjustment moves what the screw and the line move; paint renews the
    coating.
    """
    match kind:
        case WorkKind.REPAIR | WorkKind.REPLACEMENT | WorkKind.NEW_DATUM:
            return True
        case WorkKind.ADJUSTMENT:
            return series in _MOVED_BY_ADJUSTMENT
        case WorkKind.REPAINT:
            return series in {"coating", "rusted_area"}
        case WorkKind.REMOVAL:
            return False


_MOVED_BY_ADJUSTMENT = frozenset(
    {
        "tilt",
        "gap",
        "indentation",
        "jack_extension",
        "jack_engagement",
        "limb_height",
        "tension",
        "sag",
        "slack",
        "projection",
    }
)
