"""What a round is planned from: the visits that are owed, and who can go."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from monitor.errors import InvalidInput
from monitor.schedule.closures import Closure
from monitor.schedule.travel import Place, Travel

WORKING_WEEK = frozenset(range(5))
"""Monday to Friday."""


@dataclass(frozen=True, slots=True)
class Stop:
    """One inspection that can be part of a round.

    Attributes
    ----------
    minutes : on site [min]
    is_wanted : whether it is wanted within the days; else it is done on the way only
    skills : one of these is needed, such as climbing; empty if none is
    closures : what closes the site on some days
    access : when it can be begun and must be ended [minute of the day], None for any
    weight : how much it matters beside others when hours are short; 1 for usual
    """

    code: str
    place: Place
    minutes: float
    opens_on: date
    due_on: date
    late_on: date
    is_wanted: bool = True
    skills: frozenset[str] = frozenset()
    closures: tuple[Closure, ...] = ()
    access: tuple[int, int] | None = None
    weight: float = 1.0

    @property
    def fits_access(self) -> bool:
        """Whether the site is open long enough for the work."""
        return self.access is None or self.minutes <= self.access[1] - self.access[0]

    def pressing(self, on: date) -> float:
        """How much it matters on that day: a month late counts like a second visit.

        Own choice; ends growing after a year.
        """
        late_days = min(365, max(0, (on - self.late_on).days))
        return self.weight * (1 + late_days / 30)


@dataclass(frozen=True, slots=True)
class Person:
    """An inspector, or two who go together.

    Attributes
    ----------
    skills : None if nothing was said, and then everything is taken as possible
    begins, ends : leaves and is back [minute of the day]
    break_min : kept free within these hours [min]
    """

    name: str
    skills: frozenset[str] | None = None
    begins: int = 8 * 60
    ends: int = 16 * 60
    break_min: int = 30

    def __post_init__(self) -> None:
        if not 0 <= self.begins < self.ends <= 24 * 60 or self.shift_min <= 0:
            raise InvalidInput(
                f"{self.name}: hours that begin at {clock(self.begins)} and end at "
                f"{clock(self.ends)} with a break of {self.break_min} min leave no "
                "time to work.",
                field="people",
                code="rnd-001",
            )

    @property
    def shift_min(self) -> int:
        """Most minutes of travel, work and waiting on one day."""
        return self.ends - self.begins - self.break_min

    def can(self, stop: Stop) -> bool:
        """Whether the skills reach."""
        return not stop.skills or self.skills is None or bool(self.skills & stop.skills)


@dataclass(frozen=True, slots=True)
class Pin:
    """A visit that stays with this person on this day."""

    code: str
    person: str
    on: date


@dataclass(frozen=True, slots=True)
class Arranged:
    """A day put in order by hand: these visits, in this order, and no others."""

    person: str
    on: date
    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Task:
    """All that a plan depends on; the same task has the same answer.

    Attributes
    ----------
    home : where every day begins and ends
    seed : of the search
    """

    stops: tuple[Stop, ...]
    people: tuple[Person, ...]
    days: tuple[date, ...]
    home: Place
    travel: Travel = field(default_factory=Travel)
    pins: tuple[Pin, ...] = ()
    arranged: tuple[Arranged, ...] = ()
    seed: int = 1

    def __post_init__(self) -> None:
        _check(self)


def working_days(first: date, count: int) -> tuple[date, ...]:
    """So many days from `first` on, Monday to Friday."""
    found: list[date] = []
    on = first
    while len(found) < count:
        if on.weekday() in WORKING_WEEK:
            found.append(on)
        on += timedelta(days=1)
    return tuple(found)


def clock(minute: float) -> str:
    """A minute of the day as people write it: 08:05."""
    whole = round(minute)
    return f"{whole // 60:02}:{whole % 60:02}"


def _check(task: Task) -> None:
    if not task.people or not task.days:
        raise InvalidInput(
            "A round wants at least one person and one day.",
            field="people",
            code="rnd-002",
        )
    for what, names in (
        ("person", [person.name for person in task.people]),
        ("visit", [stop.code for stop in task.stops]),
    ):
        twice = _twice(names)
        if twice:
            raise InvalidInput(
                f"The {what} {twice} is named twice.", field="people", code="rnd-003"
            )


def _twice(names: Sequence[str]) -> str:
    return next((name for name in names if names.count(name) > 1), "")
