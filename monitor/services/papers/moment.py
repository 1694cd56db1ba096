"""Of which moment a paper speaks."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from monitor.clock import local_date
from monitor.errors import InvalidInput


@dataclass(frozen=True, slots=True)
class Moment:
    """Now, or the end of a past day.

    Attributes
    ----------
    made_at : when the paper is made
    known_at : what was recorded later is not in the paper; None for now
    """

    made_at: datetime
    known_at: datetime | None = None

    @property
    def at(self) -> datetime:
        """The instant the paper speaks of."""
        return self.known_at or self.made_at

    @property
    def is_past(self) -> bool:
        """Whether the paper says what was known on a past day."""
        return self.known_at is not None

    def day(self, timezone: str) -> date:
        """The civil day the paper speaks of."""
        return local_date(self.at, timezone)


def end_of(day: date, *, now: datetime) -> Moment:
    """What was known at the end of that day, UTC.

    Raises
    ------
    InvalidInput : the day is not over yet
    """
    known_at = datetime.combine(day + timedelta(days=1), time(), UTC)
    known_at -= timedelta(microseconds=1)
    if known_at >= now:
        raise InvalidInput(
            f"{day.isoformat()} is not over yet; leave the day out for what is known "
            "now.",
            field="as_known",
            code="pap-002",
        )
    return Moment(now, known_at)
