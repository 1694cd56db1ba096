"""Wind speeds as stations give them, in any of four units, gaps and all."""

from collections.abc import Iterable
from dataclasses import dataclass
from types import MappingProxyType

from monitor.errors import InvalidInput

UNITS_M_S = MappingProxyType(
    {
        "m/s": 1.0,
        "km/h": 1000 / 3600,
        "mph": 0.44704,  # exact: 1609.344 m in 3600 s
        "kn": 1852 / 3600,  # exact: one nautical mile in an hour
    }
)
_SPELLINGS = MappingProxyType(
    {
        "m/s": "m/s", "mps": "m/s", "ms-1": "m/s", "m s-1": "m/s",
        "km/h": "km/h", "kmh": "km/h", "kph": "km/h", "km h-1": "km/h",
        "mph": "mph", "mi/h": "mph",
        "kn": "kn", "kt": "kn", "kts": "kn", "knot": "kn", "knots": "kn",
    }
)  # fmt: skip
_GAPS = frozenset({"", "-", "--", "na", "n/a", "nan", "null", "none", "m", "///"})

RECORD_M_S = 113.3
"""Strongest gust accepted as measured: Barrow Island, 10 April 1996 (WMO)."""

DOUBTFUL_M_S = 60.0
"""Above this a wrong unit is likelier than the wind; common practice, no source."""

GALE_M_S = 17.2
"""Where a gale begins: lower edge of Beaufort 8 (WMO Beaufort scale)."""


@dataclass(frozen=True, slots=True)
class Gusts:
    """What one column of observations says.

    Attributes
    ----------
    strongest_m_s : None if every value is missing [m/s]
    values, gaps : how many numbers there were, and how many rows without one
    doubt : a sentence if the unit looks wrong, else empty
    """

    strongest_m_s: float | None
    values: int
    gaps: int
    doubt: str


def unit_of(text: str) -> str:
    """The unit as we write it: "m/s", "km/h", "mph" or "kn"."""
    try:
        return _SPELLINGS[text.strip().casefold().strip("[]()")]
    except KeyError:
        raise InvalidInput(
            f"“{text}” is no unit of wind speed we know; give km/h, m/s, mph or kn.",
            field="unit",
            code="sch-020",
        ) from None


def gust_m_s(value: float, unit: str) -> float:
    """A gust in metres per second; beyond the record it is refused. [m/s]"""
    speed_m_s = value * UNITS_M_S[unit_of(unit)]
    if not 0 <= speed_m_s <= RECORD_M_S:
        raise InvalidInput(
            f"A gust of {value:g} {unit} is {speed_m_s:.1f} m/s; expected 0 to "
            f"{RECORD_M_S} m/s, the strongest on record. Is the unit right?",
            field="gust",
            code="sch-021",
        )
    return speed_m_s


def gust_in_words(speed_m_s: float) -> str:
    """Such as "95 km/h (26 m/s)"."""
    return f"{speed_m_s * 3.6:.0f} km/h ({speed_m_s:.0f} m/s)"


def read_gusts(cells: Iterable[str], unit: str) -> Gusts:
    """Read one column as given; empty cells are gaps, never zero wind.

    Raises
    ------
    InvalidInput
        naming the row and the cell that is neither a number nor a gap
    """
    speeds, gaps = [], 0
    for row, cell in enumerate(cells, start=1):
        if cell.strip().casefold() in _GAPS:
            gaps += 1
        else:
            speeds.append(_speed(row, cell, unit))
    strongest = max(speeds, default=None)
    return Gusts(strongest, len(speeds), gaps, _doubt(strongest, unit))


def _speed(row: int, cell: str, unit: str) -> float:
    try:
        value = float(cell.strip().replace(",", "."))
    except ValueError:
        raise InvalidInput(
            f"Row {row}: found “{cell}”, expected a number or an empty cell.",
            field="gust",
            code="sch-022",
        ) from None
    try:
        return gust_m_s(value, unit)
    except InvalidInput as refused:
        raise InvalidInput(
            f"Row {row}: {refused.message}", field="gust", code=refused.code
        ) from None


def _doubt(strongest_m_s: float | None, unit: str) -> str:
    """A unit mistaken either way; too small a one would call nobody."""
    if strongest_m_s is None:
        return ""
    named = unit_of(unit)
    told = (
        f"The strongest gust is {gust_in_words(strongest_m_s)} if the column is in "
        f"{named}. "
    )
    if strongest_m_s > DOUBTFUL_M_S:
        return f"{told}That is the wind of a violent hurricane: check the unit."
    if strongest_m_s < GALE_M_S and named != "m/s":
        in_m_s = gust_in_words(strongest_m_s / UNITS_M_S[named])
        return (
            f"{told}That is less than a gale and calls nobody; in m/s it would be "
            f"{in_m_s}. Check the unit."
        )
    return ""
