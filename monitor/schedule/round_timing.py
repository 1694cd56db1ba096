"""The hours of one day once its order is known."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from monitor.schedule.round_task import Person, Stop
from monitor.schedule.travel import Place, Travel


@dataclass(frozen=True, slots=True)
class Visit:
    """One stop of a day.

    Attributes
    ----------
    travel_min : from the stop before, set-up included [min]
    begins, ends : of the work [minute of the day]
    wait_min : until the site opens [min]
    days_late : after the latest day allowed, 0 if in time [d]
    is_pinned : whether it was put on this day by hand
    """

    stop: Stop
    travel_min: float
    wait_min: float
    begins: float
    ends: float
    days_late: int
    is_pinned: bool = False


@dataclass(frozen=True, slots=True)
class DayRound:
    """The ordered visits of one person on one day.

    Attributes
    ----------
    leaves, back : [minute of the day]
    over_min : beyond the hours or past a closing time, by hand only [min]
    is_arranged : whether the order was set by hand
    """

    person: Person
    on: date
    visits: tuple[Visit, ...]
    leaves: float
    back: float
    travel_min: float
    over_min: float
    is_arranged: bool = False

    @property
    def site_min(self) -> float:
        """Minutes of work on site."""
        return sum(visit.stop.minutes for visit in self.visits)

    @property
    def wait_min(self) -> float:
        """Minutes of waiting."""
        return sum(visit.wait_min for visit in self.visits)


@dataclass(frozen=True, slots=True)
class Shift:
    """One person on one day, with the way between places."""

    person: Person
    on: date
    home: Place
    travel: Travel

    def round_of(self, stops: Sequence[Stop]) -> DayRound:
        """Time the day; it leaves no earlier than it must to lose no time waiting."""
        first = self._timed(stops, float(self.person.begins))
        saved = _may_leave_later(first)
        return self._timed(stops, self.person.begins + saved) if saved > 0 else first

    def _timed(self, stops: Sequence[Stop], leaves: float) -> DayRound:
        at, here, over = leaves, self.home, 0.0
        visits: list[Visit] = []
        for stop in stops:
            way = self._way(here, stop.place)
            arrives = at + way
            opens, closes = stop.access or (0, 24 * 60)
            begins = max(arrives, float(opens))
            at, here = begins + stop.minutes, stop.place
            over = max(over, at - closes)
            late = max(0, (self.on - stop.late_on).days)
            visits.append(Visit(stop, way, begins - arrives, begins, at, late))
        last = self._way(here, self.home) if visits else 0.0
        back = at + last
        over = max(over, back - self.person.ends)
        over = max(over, back - leaves - self.person.shift_min)
        travel_min = sum(visit.travel_min for visit in visits) + last
        return DayRound(
            self.person, self.on, tuple(visits), leaves, back, travel_min,
            max(0.0, over),
        )  # fmt: skip

    def _way(self, start: Place, end: Place) -> float:
        minutes = self.travel.minutes(start, end)
        if minutes is None:
            raise ValueError(f"no way known from {start.code} to {end.code}")
        return minutes


def _may_leave_later(day: DayRound) -> float:
    """How much later the day may begin without ending later.

    Forward time slack: M. W. P. Savelsbergh, "The vehicle routing problem with time
    windows: minimizing route duration", ORSA J. Computing 4 (1992), 146-154.
    """
    waited, slack = 0.0, float("inf")
    for visit in day.visits:
        waited += visit.wait_min
        closes = visit.stop.access[1] if visit.stop.access else 24 * 60
        slack = min(slack, waited + max(0.0, closes - visit.ends))
    return min(waited, slack)
