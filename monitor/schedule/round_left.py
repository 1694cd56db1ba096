"""Why a visit is in no round, in words."""

from collections.abc import Sequence
from dataclasses import dataclass

from monitor.schedule.calendar import in_words
from monitor.schedule.placing import closure_of
from monitor.schedule.round_search import Seat
from monitor.schedule.round_task import Pin, Stop, Task, clock


@dataclass(frozen=True, slots=True)
class Left:
    """A visit that is in no round.

    Attributes
    ----------
    is_wanted : whether it was wanted within the days, or only on the way
    why : as a sentence
    """

    stop: Stop
    is_wanted: bool
    why: str


def without_a_way(task: Task) -> frozenset[str]:
    """Visits to places that neither a map nor a table knows.

    A place counts if there is a way between it and the start, and to every such place.
    """
    ways = task.travel
    kept = [task.home]
    lost = set()
    for stop in task.stops:
        legs = [
            ways.minutes(a, b)
            for place in kept
            for a, b in ((place, stop.place), (stop.place, place))
        ]
        if None in legs:
            lost.add(stop.code)
        elif stop.place not in kept:
            kept.append(stop.place)
    return frozenset(lost)


def left_out(
    stop: Stop, task: Task, seats: Sequence[Seat], lost: frozenset[str]
) -> Left:
    """Name the first thing that stands in the way of a visit."""
    return Left(stop, stop.is_wanted, _why(stop, task, seats, lost))


def _why(stop: Stop, task: Task, seats: Sequence[Seat], lost: frozenset[str]) -> str:
    if stop.code in lost:
        return (
            f"Where {stop.place.code} lies is not recorded, so no way can be planned."
        )
    if not any(person.can(stop) for person in task.people):
        return f"It wants {_any_of(stop.skills)}, and nobody who goes has that."
    pin = next((pin for pin in task.pins if pin.code == stop.code), None)
    open_seats = [seat for seat in seats if stop.code in seat.codes]
    if not open_seats:
        return _no_day(stop, task, pin)
    if not any(seat.shift.round_of([stop]).over_min <= 0 for seat in open_seats):
        return _too_long(stop, open_seats[0])
    if not stop.is_wanted:
        return f"It may wait until {in_words(stop.due_on)} and is not on the way."
    if pin is not None:
        return f"It does not fit into the day of {pin.person} that it was put on."
    return (
        f"Its {stop.minutes:.0f} min and the way there fit into no day that is left "
        "for it: more hours, days or people are wanted."
    )


def _no_day(stop: Stop, task: Task, pin: Pin | None) -> str:
    if pin is not None:
        return (
            f"It was put on {in_words(pin.on)} with {pin.person}, and that can not be: "
            f"{_against(stop, task, pin)}."
        )
    if stop.opens_on > task.days[-1]:
        return f"It may not be done before {in_words(stop.opens_on)}."
    for on in task.days:
        closure = closure_of(on, stop.closures)
        if closure is not None and on >= stop.opens_on:
            return f"No day is left for it; {in_words(on)}, for one, {closure.falls()}."
    return "Every day on which it could be done was put in order by hand without it."


def _against(stop: Stop, task: Task, pin: Pin) -> str:
    person = next((p for p in task.people if p.name == pin.person), None)
    if person is None or pin.on not in task.days:
        return "that person or day is not part of this plan"
    closure = closure_of(pin.on, stop.closures)
    if closure is not None:
        return f"the day {closure.falls()}"
    if not person.can(stop):
        return f"it wants {_any_of(stop.skills)}"
    if pin.on < stop.opens_on:
        return f"it may not be done before {in_words(stop.opens_on)}"
    return "that day was put in order by hand without it"


def _too_long(stop: Stop, seat: Seat) -> str:
    day = seat.shift.round_of([stop])
    if stop.access is not None and not stop.fits_access:
        opens, closes = (clock(minute) for minute in stop.access)
        return (
            f"Its {stop.minutes:.0f} min are longer than the site is open, "
            f"{opens} to {closes}."
        )
    return (
        f"Alone it misses the hours of {seat.person.name} by {day.over_min:.0f} min: "
        f"{stop.minutes:.0f} min on site, {day.travel_min:.0f} min there and back."
    )


def _any_of(skills: frozenset[str]) -> str:
    return " or ".join(sorted(skills))
