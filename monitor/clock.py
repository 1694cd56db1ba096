"""The only place that asks what time it is."""

from datetime import UTC, date, datetime
from typing import Protocol
from uuid import UUID
from zoneinfo import ZoneInfo

from uuid_utils.compat import uuid7


class Clock(Protocol):
    """Something that knows the time."""

    def now(self) -> datetime:
        """The present instant, aware, in UTC."""
        ...


class SystemClock:
    """The clock of this machine."""

    def now(self) -> datetime:
        """The present instant, aware, in UTC."""
        return datetime.now(UTC)  # noqa: TID251 - this is the clock


class FixedClock:
    """A clock that stands still until it is moved, for tests and replays."""

    def __init__(self, at: datetime) -> None:
        self.at = at

    def now(self) -> datetime:
        """The instant it was set to."""
        return self.at


def local_date(now: datetime, timezone: str) -> date:
    """The civil date at a site."""
    return now.astimezone(ZoneInfo(timezone)).date()


def new_id() -> UUID:
    """A fresh UUIDv7 (RFC 9562): sortable by time, can be made on any device."""
    return uuid7()
