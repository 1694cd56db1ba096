"""Who goes where on which day, and in which order.

Travel and lateness are weighed in one sum: a visit a day after its latest day costs as
much as some minutes on the road. Days, skills and pins are hard; nothing wanted is left
out as long as it fits anywhere, and what is left out is listed with why.

References
----------
.. [1] N. A. Wouda, L. Lan, W. Kool, "PyVRP: a high-performance VRP solver package",
   INFORMS J. Computing 36 (2024), 943-955
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from monitor.schedule.round_left import Left, left_out, without_a_way
from monitor.schedule.round_search import Seat, search
from monitor.schedule.round_task import Pin, Stop, Task
from monitor.schedule.round_timing import DayRound, Shift, Visit

__all__ = ["Left", "Rounds", "plan_rounds"]

_EPS_MIN = 1e-6


@dataclass(frozen=True, slots=True)
class Rounds:
    """A plan for some days.

    Attributes
    ----------
    days : of every person with something to do, by day, then in the order of people
    left : what is not in it, with why
    unknown : codes that were pinned or arranged and are not owed
    """

    task: Task
    days: tuple[DayRound, ...]
    left: tuple[Left, ...]
    unknown: tuple[str, ...]

    @property
    def visits(self) -> tuple[Visit, ...]:
        """Every visit that is planned."""
        return tuple(visit for day in self.days for visit in day.visits)

    @property
    def travel_min(self) -> float:
        """On the road, set-up included [min]."""
        return sum(day.travel_min for day in self.days)

    @property
    def days_late(self) -> int:
        """Days after their latest day, summed over the visits [d]."""
        return sum(visit.days_late for visit in self.visits)


def plan_rounds(task: Task) -> Rounds:
    """Plan; the same task always has the same answer."""
    stops = {stop.code: stop for stop in task.stops}
    named = [pin.code for pin in task.pins]
    named += [code for day in task.arranged for code in day.codes]
    lost = without_a_way(task)
    placed: dict[tuple[str, date], list[Stop]] = {}
    by_hand = set()
    for day in task.arranged:
        codes = [c for c in dict.fromkeys(day.codes) if c in stops and c not in lost]
        placed[day.person, day.on] = [stops[c] for c in codes if c not in by_hand]
        by_hand |= set(codes)
    seats = seats_of(task, frozenset(placed))
    free = [s for s in task.stops if s.code not in by_hand and s.code not in lost]
    found = search(free, seats, task.seed)
    found = _filled(found, free, seats)
    placed |= {(seat.person.name, seat.on): found[i] for i, seat in enumerate(seats)}
    used = {stop.code for day in placed.values() for stop in day}
    unused = [stop for stop in task.stops if stop.code not in used]
    return Rounds(
        task,
        _days(task, placed, by_hand),
        tuple(left_out(stop, task, seats, lost) for stop in unused),
        tuple(dict.fromkeys(code for code in named if code not in stops)),
    )


def seats_of(task: Task, taken: frozenset[tuple[str, date]]) -> tuple[Seat, ...]:
    """Every person on every day that is not arranged by hand."""
    pins = {pin.code: pin for pin in task.pins}
    return tuple(
        Seat(Shift(person, on, task.home, task.travel), _codes_for(task, person.name,
             on, pins))
        for on in task.days
        for person in task.people
        if (person.name, on) not in taken
    )  # fmt: skip


def _codes_for(
    task: Task, name: str, on: date, pins: Mapping[str, Pin]
) -> frozenset[str]:
    """Visits that this person may make on this day."""
    person = next(person for person in task.people if person.name == name)
    return frozenset(
        stop.code
        for stop in task.stops
        if stop.opens_on <= on
        and person.can(stop)
        and not any(closure.holds(on) for closure in stop.closures)
        and _is_pin_kept(pins.get(stop.code), name, on)
    )


def _is_pin_kept(pin: Pin | None, name: str, on: date) -> bool:
    return pin is None or (pin.person, pin.on) == (name, on)


def _filled(
    found: list[list[Stop]], free: list[Stop], seats: tuple[Seat, ...]
) -> list[list[Stop]]:
    """Put in by hand what the search left out though it fits, most urgent first."""
    days = [list(day) for day in found]
    used = {stop.code for day in days for stop in day}
    wanted = [stop for stop in free if stop.code not in used and stop.is_wanted]
    first_on = seats[0].on if seats else date.max
    for stop in sorted(wanted, key=lambda stop: (-stop.pressing(first_on), stop.code)):
        best = min(_fits(stop, days, seats), default=None)
        if best is not None:
            _, seat, place = best
            days[seat].insert(place, stop)
    return days


def _fits(
    stop: Stop, days: list[list[Stop]], seats: tuple[Seat, ...]
) -> list[tuple[float, int, int]]:
    """Where a visit still fits: travel of that day, day, place in its order."""
    fits = []
    for i, seat in enumerate(seats):
        if stop.code not in seat.codes:
            continue
        for place in range(len(days[i]) + 1):
            tried = [*days[i][:place], stop, *days[i][place:]]
            timed = seat.shift.round_of(tried)
            if timed.over_min <= _EPS_MIN:
                fits.append((timed.travel_min, i, place))
    return fits


def _days(
    task: Task, placed: Mapping[tuple[str, date], list[Stop]], by_hand: set[str]
) -> tuple[DayRound, ...]:
    pinned = {pin.code for pin in task.pins} | by_hand
    arranged = {(day.person, day.on) for day in task.arranged}
    days = []
    for on in task.days:
        for person in task.people:
            stops = placed.get((person.name, on), [])
            if not stops:
                continue
            day = Shift(person, on, task.home, task.travel).round_of(stops)
            visits = tuple(
                replace(visit, is_pinned=visit.stop.code in pinned)
                for visit in day.visits
            )
            is_arranged = (person.name, on) in arranged
            days.append(replace(day, visits=visits, is_arranged=is_arranged))
    return tuple(days)
