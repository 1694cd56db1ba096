"""How long it takes to get from one place to another."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import asin, cos, radians, sin, sqrt

import numpy as np
from numpy.typing import NDArray

EARTH_RADIUS_KM = 6371.0088
"""Mean radius of the Earth (H. Moritz, Geodetic Reference System 1980)."""


@dataclass(frozen=True, slots=True)
class Place:
    """Somewhere to go.

    Attributes
    ----------
    latitude, longitude : WGS 84 [deg], None if unknown
    """

    code: str
    latitude: float | None
    longitude: float | None

    @property
    def is_known(self) -> bool:
        """Whether it can be found on a map."""
        return self.latitude is not None and self.longitude is not None


@dataclass(frozen=True, slots=True)
class Travel:
    """Road speed, or a table of minutes that beats it where it says something.

    The defaults are common practice, no source: town traffic, roads a third longer than
    the straight line, and some minutes to park and get out what is needed.

    Attributes
    ----------
    speed_km_h : door to door on the road [km/h]
    detour : road distance over straight distance
    set_up_min : once at every new place [min]
    table_min : minutes on the road between two place codes, either way round unless
        both ways are given
    """

    speed_km_h: float = 25.0
    detour: float = 1.33
    set_up_min: float = 5.0
    table_min: Mapping[tuple[str, str], float] = field(default_factory=dict)

    def minutes(self, start: Place, end: Place) -> float | None:
        """From one place to work at the other; None if nobody knows. [min]"""
        if start.code == end.code:
            return 0.0
        told = self.table_min.get((start.code, end.code))
        if told is None:
            told = self.table_min.get((end.code, start.code))
        if told is None:
            distance_km = great_circle_km(start, end)
            if distance_km is None:
                return None
            told = 60.0 * distance_km * self.detour / self.speed_km_h
        return told + self.set_up_min

    def table_s(self, places: Sequence[Place]) -> NDArray[np.int64]:
        """Seconds from every place (row) to every place (column), rounded up.

        Raises
        ------
        ValueError : two of them have no known way between them
        """
        codes = {place.code: place for place in places}
        known: dict[tuple[str, str], int] = {}
        for a in codes.values():
            for b in codes.values():
                minutes = self.minutes(a, b)
                if minutes is None:
                    raise ValueError(f"no way known from {a.code} to {b.code}")
                known[a.code, b.code] = int(np.ceil(60.0 * minutes))
        rows = [[known[a.code, b.code] for b in places] for a in places]
        return np.array(rows, dtype=np.int64).reshape(len(places), len(places))


def great_circle_km(start: Place, end: Place) -> float | None:
    """Shortest way over the ground between two points; None if one is unknown. [km]

    The haversine form, which keeps its digits over short distances.

    References
    ----------
    .. [1] R. W. Sinnott, "Virtues of the Haversine", Sky and Telescope 68 (1984), 159

    Examples
    --------
    >>> round(great_circle_km(Place("a", 0.0, 0.0), Place("b", 1.0, 0.0)), 2)
    111.2
    """
    if start.latitude is None or start.longitude is None:
        return None
    if end.latitude is None or end.longitude is None:
        return None
    lat1, lat2 = radians(start.latitude), radians(end.latitude)
    half_lat = sin((lat2 - lat1) / 2)
    half_lon = sin(radians(end.longitude - start.longitude) / 2)
    chord = sqrt(half_lat**2 + cos(lat1) * cos(lat2) * half_lon**2)
    return 2 * EARTH_RADIUS_KM * asin(min(1.0, chord))


def middle_of(places: Sequence[Place]) -> Place:
    """The middle of the known places, to start from where no start is given."""
    lats = [p.latitude for p in places if p.latitude is not None and p.is_known]
    lons = [p.longitude for p in places if p.longitude is not None and p.is_known]
    if not lats or not lons:
        return Place("start", None, None)
    return Place("start", sum(lats) / len(lats), sum(lons) / len(lons))
