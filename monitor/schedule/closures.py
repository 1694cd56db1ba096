"""What closes a site for a stretch of days: a season, a client's dates, holidays."""

from dataclasses import dataclass
from datetime import date
from typing import Protocol

from monitor.errors import InvalidInput
from monitor.schedule.calendar import in_words


class Closure(Protocol):
    """Something that holds some days and not others."""

    def holds(self, on: date) -> bool:
        """Whether the site is closed on that day."""
        ...

    def began(self, on: date) -> date:
        """First day of the stretch that holds `on`."""
        ...

    def ends(self, on: date) -> date:
        """Last day of the stretch that holds `on`."""
        ...

    def falls(self) -> str:
        """How a sentence says that a day is held by it."""
        ...


@dataclass(frozen=True, slots=True)
class Blackout:
    """Days a client keeps a site closed, both included, once."""

    first_on: date
    last_on: date
    reason: str

    def __post_init__(self) -> None:
        if self.last_on < self.first_on:
            raise InvalidInput(
                f"A closure from {in_words(self.first_on)} to "
                f"{in_words(self.last_on)} ends before it begins.",
                field="blackouts",
                code="sch-005",
            )

    def holds(self, on: date) -> bool:
        """Whether the site is closed on that day."""
        return self.first_on <= on <= self.last_on

    def began(self, on: date) -> date:
        """First day of the stretch."""
        return self.first_on

    def ends(self, on: date) -> date:
        """Last day of the stretch."""
        return self.last_on

    def falls(self) -> str:
        """Such as "falls in a closure from 1 May 2029 to 9 May 2029 (festival)"."""
        reason = f" ({self.reason})" if self.reason else ""
        return (
            f"falls in a closure from {in_words(self.first_on)} to "
            f"{in_words(self.last_on)}{reason}"
        )


@dataclass(frozen=True, slots=True)
class Holidays:
    """Public holidays, as given from outside."""

    days: frozenset[date]

    def holds(self, on: date) -> bool:
        """Whether the day is a holiday."""
        return on in self.days

    def began(self, on: date) -> date:
        """The day itself."""
        return on

    def ends(self, on: date) -> date:
        """The day itself."""
        return on

    def falls(self) -> str:
        """In a sentence."""
        return "falls on a public holiday"
