"""The search for a short round, by an iterated local search of a routing library."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import pyvrp
from numpy.typing import NDArray
from pyvrp.stop import MaxIterations

from monitor.schedule.round_task import Person, Stop
from monitor.schedule.round_timing import Shift

LATE_DAY_MIN = 10
"""Minutes on the road that one day of lateness weighs as much as; own choice."""

ON_THE_WAY_MIN = 15
"""Detour that is made for a visit which is not wanted yet; own choice."""

EFFORT, FEWEST_TURNS, MOST_TURNS = 120_000, 200, 1000
"""Turns of the search times visits, and its bounds. Counted and not timed, so that the
same task has the same answer on every machine; 600 turns for 200 visits."""

_WANTED_S = 10_000_000
_NEVER_S = 1_000_000
"""Longer than any day: a way that can not be taken."""


@dataclass(frozen=True, slots=True)
class Seat:
    """One person on one day, and the visits that may be theirs."""

    shift: Shift
    codes: frozenset[str]

    @property
    def person(self) -> Person:
        """Who goes."""
        return self.shift.person

    @property
    def on(self) -> date:
        """The day."""
        return self.shift.on


def search(stops: Sequence[Stop], seats: Sequence[Seat], seed: int) -> list[list[Stop]]:
    """Share the visits out; one ordered list a seat, and what is in none is left."""
    days: list[list[Stop]] = [[] for _ in seats]
    able = [
        stop
        for stop in stops
        if stop.fits_access and any(stop.code in seat.codes for seat in seats)
    ]
    if not able or not seats:
        return days
    turns = min(MOST_TURNS, max(FEWEST_TURNS, EFFORT // len(able)))
    result = pyvrp.solve(
        _problem(able, seats),
        MaxIterations(turns),
        seed=seed,
        collect_stats=False,
        display=False,
    )
    if not result.is_feasible():
        return days
    for route in result.best.routes():
        visits = [each.idx for each in route.schedule() if each.is_client()]
        days[route.vehicle_type()] = [able[idx] for idx in visits]
    return days


def _problem(stops: Sequence[Stop], seats: Sequence[Seat]) -> pyvrp.ProblemData:
    """Location 0 is where days begin and end, then one location a visit."""
    shift = seats[0].shift
    way_s = shift.travel.table_s([shift.home, *(stop.place for stop in stops)])
    profiles = [_profile(way_s, stops, seat) for seat in seats]
    return pyvrp.ProblemData(
        locations=[pyvrp.Location(0, 0) for _ in range(len(stops) + 1)],
        clients=[_client(i + 1, stop, seats[0].on) for i, stop in enumerate(stops)],
        depots=[pyvrp.Depot(0)],
        vehicle_types=[
            _vehicle(i, seat.person) for i, seat in enumerate(seats)
        ],
        distance_matrices=[cost for cost, _ in profiles],  # type: ignore[misc]  # as stubbed
        duration_matrices=[way for _, way in profiles],  # type: ignore[misc]
    )  # fmt: skip


def _profile(
    way_s: NDArray[np.int64], stops: Sequence[Stop], seat: Seat
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """What it costs and how long it takes on this day; lateness is part of the cost."""
    cost, way = way_s.copy(), way_s.copy()
    for i, stop in enumerate(stops, start=1):
        if stop.code not in seat.codes:
            cost[:, i] = way[:, i] = _NEVER_S
        else:
            cost[:, i] += 60 * LATE_DAY_MIN * max(0, (seat.on - stop.late_on).days)
    np.fill_diagonal(cost, 0)
    np.fill_diagonal(way, 0)
    return cost, way


def _client(location: int, stop: Stop, first_on: date) -> pyvrp.Client:
    opens, closes = stop.access or (0, 24 * 60)
    service_s = round(60 * stop.minutes)
    return pyvrp.Client(
        location=location,
        service_duration=service_s,
        tw_early=60 * opens,
        tw_late=60 * closes - service_s,
        prize=_prize_s(stop, first_on),
        required=False,
        name=stop.code,
    )


def _prize_s(stop: Stop, first_on: date) -> int:
    """What a visit may cost on the road before it is left out."""
    if not stop.is_wanted:
        return 60 * ON_THE_WAY_MIN
    return round(_WANTED_S * stop.pressing(first_on))


def _vehicle(profile: int, person: Person) -> pyvrp.VehicleType:
    return pyvrp.VehicleType(
        tw_early=60 * person.begins,
        tw_late=60 * person.ends,
        shift_duration=60 * person.shift_min,
        profile=profile,
        name=person.name,
    )
