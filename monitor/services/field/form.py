"""A form as a device sends it, and how far its clock can be trusted."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from uuid import UUID

from monitor.domain.pictures import Point
from monitor.services.recording.commands import InspectionCommand
from monitor.services.recording.photo_measures import OnPhoto, OutlineCommand
from monitor.services.recording.photos import PhotoCommand

CLOCK_TOLERANCE = timedelta(minutes=5)


@dataclass(frozen=True, slots=True)
class Submission:
    """A form as a device sends it.

    Attributes
    ----------
    command : what it asks to have recorded, under the id the device made
    body_sha256 : of the bytes it came in
    sent_at : the device's clock while sending, None if it did not say
    content : the form as it came, kept where it can not become an inspection
    round_at : when the device stored what it showed, None if it did not say
    outlines : openings traced on its photographs
    sketches : strokes over its photographs, by SHA-256
    on_photos : what the outlines said, worked out before anything is written
    refusals : why others said nothing, by SHA-256
    """

    id: UUID
    command: InspectionCommand
    photos: tuple[PhotoCommand, ...]
    body_sha256: str
    sent_at: datetime | None
    content: dict[str, object]
    round_at: datetime | None = None
    outlines: tuple[OutlineCommand, ...] = ()
    sketches: dict[str, tuple[tuple[Point, ...], ...]] = field(default_factory=dict)
    on_photos: tuple[OnPhoto, ...] = ()
    refusals: dict[str, str] = field(default_factory=dict)


def clock_off(submission: Submission, now: datetime) -> timedelta:
    """How far the device's clock is ahead; zero within five minutes."""
    if submission.sent_at is None:
        return timedelta(0)
    off = submission.sent_at - now
    return off if abs(off) > CLOCK_TOLERANCE else timedelta(0)


def length(off: timedelta) -> str:
    """A span in words: minutes, hours or days, whichever reads best."""
    minutes = abs(off.total_seconds()) / 60
    if minutes < 120:
        return f"{minutes:.0f} minutes"
    if minutes < 48 * 60:
        return f"{minutes / 60:.0f} hours"
    return f"{minutes / 1440:.0f} days"
