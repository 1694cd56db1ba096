"""Invented towns with visits that are owed, drawn with a seed."""

from datetime import date, timedelta

import numpy as np

from monitor.schedule.round_task import Person, Stop, Task, working_days
from monitor.schedule.travel import Place, middle_of

FIRST_ON = date(2026, 11, 30)
NAMES = ("Bram", "Corin", "Edda", "Perran", "Tamsin", "Wenna", "Ilse", "Oswin")
HIGH = frozenset({"climbing", "platform"})


def a_town(visits: int, people: int, days: int, seed: int) -> Task:
    """A town of some 12 by 12 km; a tenth is climbed to, a fifth has opening hours.

    Half of the visits are clustered in four quarters, as trees are.
    """
    rng = np.random.default_rng(seed)
    places = _places(rng, max(2, visits // 3))
    stops = tuple(_stop(n, places, rng) for n in range(visits))
    team = tuple(
        Person(name, frozenset({"climbing"}) if n < 2 else frozenset())
        for n, name in enumerate(NAMES[:people])
    )
    home = middle_of(places)
    return Task(stops, team, working_days(FIRST_ON, days), home, seed=seed)


def _places(rng: np.random.Generator, count: int) -> list[Place]:
    quarters = rng.uniform(-0.045, 0.045, (4, 2))
    places = []
    for n in range(count):
        if n % 2:
            lat, lon = quarters[rng.integers(4)] + rng.normal(0, 0.006, 2)
        else:
            lat, lon = rng.uniform(-0.055, 0.055, 2)
        places.append(Place(f"V{n}", 47.5 + float(lat), -20.0 + 1.5 * float(lon)))
    return places


def _stop(n: int, places: list[Place], rng: np.random.Generator) -> Stop:
    late_on = FIRST_ON + timedelta(days=int(rng.integers(-10, 40)))
    is_high = rng.random() < 0.1
    return Stop(
        code=f"S-{n:03}",
        place=places[int(rng.integers(len(places)))],
        minutes=60.0 if is_high else float(rng.choice([12, 15, 20, 20, 32])),
        opens_on=late_on - timedelta(days=90),
        due_on=late_on - timedelta(days=30),
        late_on=late_on,
        skills=HIGH if is_high else frozenset(),
        access=(9 * 60, 13 * 60) if rng.random() < 0.2 else None,
    )
