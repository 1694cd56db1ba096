"""How a tree closes the opening around a pin, and when nut and washer drown in it.

The width decides; closure is not health, and closed bark is not sound wood.

References
----------
.. [1] Neely 1979, Journal of Arboriculture 5(6):135 and 1988, 14(6):148 and
   14(10):250: edge growth goes with radial growth and exceeds it; small wounds close
   fewer millimetres a year.
.. [2] Rates of 6 to 24 mm/y: Hyrcanian forest study of 234 wounded trees; 13 mm/y
   European ash: Vasiliauskas and Stenlid 1998. Most are bark wounds of 50 to 300 mm;
   no table exists for drilled holes with hardware left in.
.. [3] Edge factor 1.5 to 3 and rates by vigour: common practice, no source.
"""

from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

import numpy as np

from monitor.errors import InvalidInput
from monitor.mechanics.guard import Array, Floats, finite, not_negative, plain, positive
from monitor.mechanics.guard import within as in_range
from monitor.mechanics.screening import Interval, spread_interval

EDGE_FACTOR = 2.0
FASTEST_MM_YEAR = 24.0
SMALL_HOLE_MM = 30.0
RATE_SPREAD = 0.4  # own choice, from the wide scatter of the studies
TWO_SEASONS_YEARS = 1.8  # visits do not fall on the same day
STALL_SHARE = 0.30  # common practice, no source

# Neely 1979: widths closed in one season by growth of the diameter. [mm]
ONE_SEASON_MM = MappingProxyType(
    {"substantial": 17.4625, "moderate": 12.7, "modest": 9.525}
)


class Vigour(StrEnum):
    """How well a tree grows where the wound is."""

    POOR = "poor"
    MODERATE = "moderate"
    GOOD = "good"
    VERY_GOOD = "very good"


_RATE_MM_YEAR = MappingProxyType(
    {
        Vigour.POOR: 3.0,
        Vigour.MODERATE: 8.0,
        Vigour.GOOD: 13.0,
        Vigour.VERY_GOOD: 18.0,
    }
)


class Course(StrEnum):
    """What the widths of an opening say."""

    CLOSING = "closing"
    STALLED = "stalled"
    REOPENING = "wider than before"
    CLOSED = "closed to the hardware"
    TOO_FEW = "fewer than two seasons of readings"


@dataclass(frozen=True, slots=True)
class Opening:
    """What is needed to judge the course of an opening.

    Parameters
    ----------
    expected_mm_year : closing rate that is to be expected [mm/y]
    noise_mm : standard deviation of one width reading [mm]
    hardware_mm : width of the pin, nut or washer left in; it can not close [mm]
    """

    expected_mm_year: float
    noise_mm: float
    hardware_mm: float = 0.0


def rate_from_growth_mm_year(
    radial_mm_year: Floats, edge_factor: Floats = EDGE_FACTOR
) -> Floats:
    """Return the closing rate of the width, both edges, 2 k g, capped. [mm/y]

    Parameters
    ----------
    radial_mm_year : radial growth at that place [mm/y]
    edge_factor : edge growth over radial growth, 1.5 to 3
    """
    k = in_range("edge factor", edge_factor, "", (1.5, 3.0))
    growth = not_negative("radial growth", radial_mm_year, "mm/y")
    return plain(np.minimum(2.0 * k * growth, FASTEST_MM_YEAR))


def rate_by_vigour_mm_year(vigour: Vigour, width_mm: Floats) -> Floats:
    """Return the usual closing rate, half of it for holes below 30 mm. [mm/y]"""
    width = positive("width", width_mm, "mm")
    rate = _RATE_MM_YEAR[vigour]
    return plain(np.where(width < SMALL_HOLE_MM, rate / 2.0, rate))


def closing_years(
    width_mm: Floats, rate_mm_year: Floats, hardware_mm: Floats = 0.0
) -> Interval:
    """Return the years until the opening is down to its hardware, 5 % to 95 %. [y]

    The rate is uncertain by 40 % (own choice) and falls as a wound ages.
    """
    rate = positive("closing rate", rate_mm_year, "mm/y")
    left = not_negative("width", width_mm, "mm") - not_negative(
        "hardware width", hardware_mm, "mm"
    )
    bounds = spread_interval(plain(rate), RATE_SPREAD)
    open_mm = np.maximum(left, 0.0)
    return Interval(
        plain(open_mm / np.asarray(bounds.high)),
        plain(open_mm / rate),
        plain(open_mm / np.asarray(bounds.low)),
    )


def closed_share_by_width(first_mm: Floats, now_mm: Floats) -> Floats:
    """Return 1 - w/w0: 0 open, 1 closed, below 0 wider than at first."""
    now = not_negative("width now", now_mm, "mm")
    return plain(1.0 - now / positive("first width", first_mm, "mm"))


def closed_share_by_area(first_mm2: Floats, now_mm2: Floats) -> Floats:
    """Return 1 - A/A0. Never compare it with the share by width."""
    now = not_negative("area now", now_mm2, "mm2")
    return plain(1.0 - now / positive("first area", first_mm2, "mm2"))


def oval_area_mm2(width_mm: Floats, height_mm: Floats) -> Floats:
    """Return the area of an oval opening, pi w h / 4. [mm2]"""
    width = not_negative("width", width_mm, "mm")
    return plain(np.pi / 4.0 * width * not_negative("height", height_mm, "mm"))


def area_from_widths_mm2(heights_mm: Array, widths_mm: Array) -> float:
    """Return the area from widths read at several heights, trapezium rule. [mm2]"""
    at = finite("heights", heights_mm, "mm")
    across = not_negative("widths", widths_mm, "mm")
    if at.size < 2 or at.shape != across.shape or np.any(np.diff(at) <= 0.0):
        raise InvalidInput("Heights must rise, one width to each, two at least.")
    return float(((across[1:] + across[:-1]) / 2.0 * np.diff(at)).sum())


def reach_years(
    projection_mm: Floats, needed_mm: Floats, radial_mm_year: Floats
) -> Floats:
    """Return how long nut and washer can still be reached. [y]

    Parameters
    ----------
    projection_mm : from bark to the end of the hardware today [mm]
    needed_mm : what a spanner must still find standing out [mm]
    radial_mm_year : radial growth there [mm/y]
    """
    left = not_negative("projection", projection_mm, "mm") - not_negative(
        "needed projection", needed_mm, "mm"
    )
    growth = positive("radial growth", radial_mm_year, "mm/y")
    return plain(np.maximum(left, 0.0) / growth)


def girth_growth_mm_year(radial_mm_year: Floats) -> Floats:
    """Return the growth of the girth, 2 pi g; it eats the spare of a sling. [mm/y]"""
    return plain(2.0 * np.pi * not_negative("radial growth", radial_mm_year, "mm/y"))


def sling_years(spare_mm: Floats, radial_mm_year: Floats) -> Floats:
    """Return how long the spare length of a sling lasts. [y]"""
    spare = not_negative("spare length", spare_mm, "mm")
    growth = positive("radial growth", radial_mm_year, "mm/y")
    return plain(spare / (2.0 * np.pi * growth))


def course_of(years: Array, widths_mm: Array, opening: Opening) -> Course:
    """Return what a run of widths says of an opening.

    Wider by more than 2.77 spreads of a reading (the significant change between two
    readings) than the narrowest so far is reopening; over the last two seasons less
    than 30 % of the expected rate is a stall.
    """
    t, w = finite("years", years, "y"), not_negative("widths", widths_mm, "mm")
    order = np.argsort(t)
    t, w = t[order], w[order]
    if w.size and w[-1] <= opening.hardware_mm + opening.noise_mm:
        return Course.CLOSED
    if w.size < 2:
        return Course.TOO_FEW
    if w[-1] - w.min() > 1.96 * np.sqrt(2.0) * opening.noise_mm:
        return Course.REOPENING
    before = np.flatnonzero(t <= t[-1] - TWO_SEASONS_YEARS)
    if not before.size:
        return Course.TOO_FEW
    start = before[-1]
    rate = (w[start] - w[-1]) / (t[-1] - t[start])
    slow = rate < STALL_SHARE * opening.expected_mm_year
    return Course.STALLED if slow else Course.CLOSING
