"""Two habits to compare with: the nearest next, and the order of due dates.

Both keep the same hours, skills, closures and access times, judged by the same clock.
"""

from collections.abc import Callable, Sequence

from monitor.schedule.round_search import Seat
from monitor.schedule.round_task import Stop, Task
from monitor.schedule.round_timing import DayRound
from monitor.schedule.rounds import seats_of

Next = Callable[[Sequence[Stop], Seat, Sequence[Stop]], list[Stop]]
"""From the day so far and what is left to what to try next, first choice first."""


def nearest_next(day: Sequence[Stop], seat: Seat, left: Sequence[Stop]) -> list[Stop]:
    """The shortest way from where one stands."""
    here = day[-1].place if day else seat.shift.home
    travel = seat.shift.travel
    return sorted(left, key=lambda s: (travel.minutes(here, s.place) or 0.0, s.code))


def due_next(day: Sequence[Stop], seat: Seat, left: Sequence[Stop]) -> list[Stop]:
    """The earliest latest day."""
    return sorted(left, key=lambda stop: (stop.late_on, stop.due_on, stop.code))


def by_habit(task: Task, choose: Next) -> list[DayRound]:
    """Fill every day in turn; a visit that does not fit any more is passed over."""
    left = list(task.stops)
    days = []
    for seat in seats_of(task, frozenset()):
        day: list[Stop] = []
        while (stop := _first_that_fits(day, seat, left, choose)) is not None:
            day.append(stop)
            left.remove(stop)
        if day:
            days.append(seat.shift.round_of(day))
    return days


def _first_that_fits(
    day: list[Stop], seat: Seat, left: list[Stop], choose: Next
) -> Stop | None:
    able = [stop for stop in left if stop.code in seat.codes]
    for stop in choose(day, seat, able):
        if seat.shift.round_of([*day, stop]).over_min <= 0:
            return stop
    return None
