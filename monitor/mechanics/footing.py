"""Pressure under a plate or pad, and what soil may be presumed to carry.

References
----------
.. [1] Pressure under an eccentric load, with and without lift-off: foundation
   textbooks (kern, middle third), derived by hand; effective area: Meyerhof 1953.
.. [2] International Building Code table 1806.2, as reproduced; no value for mud,
   organic silt or clay, peat and unprepared fill.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

import numpy as np

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.guard import Array, Floats, not_negative, plain, positive
from monitor.mechanics.screening import Screening

METHOD = "no-tension pressure under a rigid plate; presumptive value of IBC 1806.2"
KPA_PER_PSF = 0.04788026


class Soil(StrEnum):
    """What lies under the plate."""

    BEDROCK = "crystalline bedrock"
    LAYERED_ROCK = "sedimentary or foliated rock"
    GRAVEL = "sandy gravel or gravel"
    SAND = "sand, silty or clayey sand, silty or clayey gravel"
    CLAY = "clay, sandy or silty clay, silt"
    TOPSOIL = "topsoil"
    MULCH = "mulch"
    ORGANIC = "organic silt or clay"
    PEAT = "peat"
    MUD = "mud"
    FILL = "unprepared fill"


_PRESUMED_PSF = MappingProxyType(
    {
        Soil.BEDROCK: 12_000.0,
        Soil.LAYERED_ROCK: 4_000.0,
        Soil.GRAVEL: 3_000.0,
        Soil.SAND: 2_000.0,
        Soil.CLAY: 1_500.0,
    }
)


@dataclass(frozen=True, slots=True, eq=False)
class Plate:
    """A rectangular plate or pad on the ground [mm]."""

    length_mm: Floats
    width_mm: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FootingUse(Screening):
    """The largest pressure against what the soil is presumed to carry."""

    pressure_kpa: Floats
    presumed_kpa: float
    use: Floats


def presumed_kpa(soil: Soil) -> float:
    """Return the presumptive allowable pressure, IBC table 1806.2. [kPa]

    Refuses topsoil, mulch and the like: no code presumes a value for them.
    """
    if soil not in _PRESUMED_PSF:
        raise InsufficientData(
            f"No code presumes a bearing value for {soil}. Needed: the plate on firm "
            "natural soil below it, or a geotechnical engineer's value."
        )
    return _PRESUMED_PSF[soil] * KPA_PER_PSF


def uneven_ground(materials: Iterable[str]) -> str | None:
    """Return a warning when a plate rests on more than one material."""
    names = tuple(dict.fromkeys(name.strip().lower() for name in materials))
    if len(names) < 2:
        return None
    return (
        f"The plate rests partly on {' and partly on '.join(names)}: they give way "
        "differently, so it will tilt. Reset it on one material of even firmness."
    )


def footing_use(
    load_n: Floats, plate: Plate, eccentricity_mm: Floats, soil: Soil
) -> FootingUse:
    """Return how much of the presumed value the worst edge uses, eccentric one way."""
    allowed = presumed_kpa(soil)
    pressure, _ = edge_pressures_kpa(load_n, plate, eccentricity_mm)
    return FootingUse(
        method=METHOD,
        assumed=(
            "Firm, level, undisturbed soil; no slope, frost, flooding or shrinking.",
            "Roots under the plate are not in this number.",
        ),
        pressure_kpa=pressure,
        presumed_kpa=allowed,
        use=plain(np.asarray(pressure) / allowed),
    )


def edge_pressures_kpa(
    load_n: Floats, plate: Plate, eccentricity_mm: Floats
) -> tuple[Floats, Floats]:
    """Return the largest and least edge pressure, eccentric along the length. [kPa]

    Inside the middle third P/(BL)(1 +- 6e/L); beyond it one edge lifts off and the
    pressure is 2P/(3B(L/2 - e)).
    """
    load, length, width = _arrays(load_n, plate)
    e = _inside("eccentricity", eccentricity_mm, length)
    mean = load / (length * width)
    tight = 2.0 * load / (3.0 * width * (length / 2.0 - e))
    full = 6.0 * e <= length
    most = np.where(full, mean * (1.0 + 6.0 * e / length), tight)
    least = np.where(full, mean * (1.0 - 6.0 * e / length), 0.0)
    return plain(1000.0 * most), plain(1000.0 * np.maximum(least, 0.0))


def contact_length_mm(plate: Plate, eccentricity_mm: Floats) -> Floats:
    """Return the length still pressed on the ground, 3(L/2 - e) beyond L/6. [mm]"""
    length = positive("plate length", plate.length_mm, "mm")
    e = _inside("eccentricity", eccentricity_mm, length)
    return plain(np.minimum(length, 3.0 * (length / 2.0 - e)))


def effective_pressure_kpa(
    load_n: Floats, plate: Plate, along_mm: Floats, across_mm: Floats
) -> Floats:
    """Return the even pressure on the effective area, both ways, Meyerhof. [kPa]"""
    load, length, width = _arrays(load_n, plate)
    along = _inside("eccentricity along", along_mm, length)
    across = _inside("eccentricity across", across_mm, width)
    area = (length - 2.0 * along) * (width - 2.0 * across)
    return plain(1000.0 * load / area)


def corner_pressure_kpa(
    load_n: Floats, plate: Plate, along_mm: Floats, across_mm: Floats
) -> Floats:
    """Return the largest corner pressure, eccentric both ways, no tension. [kPa]

    Finds the plane of pressure that carries the load on the part of the plate still
    in contact (Newton's method on the contact polygon, derived by hand). One plate at
    a time inside; arrays are walked through.
    """
    load, length, width = _arrays(load_n, plate)
    along = _inside("eccentricity along", along_mm, length)
    across = _inside("eccentricity across", across_mm, width)
    rows = np.broadcast_arrays(load, length, width, along, across)
    out = np.array(
        [_corner(*map(float, row)) for row in zip(*map(np.ravel, rows), strict=True)]
    )
    return plain(1000.0 * out.reshape(rows[0].shape))


def _arrays(load_n: Floats, plate: Plate) -> tuple[Array, Array, Array]:
    return (
        not_negative("load", load_n, "N"),
        positive("plate length", plate.length_mm, "mm"),
        positive("plate width", plate.width_mm, "mm"),
    )


def _inside(name: str, eccentricity_mm: Floats, side_mm: Array) -> Array:
    e = np.abs(not_negative(name, eccentricity_mm, "mm"))
    if np.any(2.0 * e >= side_mm):
        raise InvalidInput(
            f"{name}: {e.max():g} mm puts the load outside the plate; it overturns.",
            field=name,
        )
    return e


def _corner(load: float, length: float, width: float, ex: float, ey: float) -> float:
    """Return the corner pressure of one plate. [MPa]"""
    x, y = length / 2.0, width / 2.0
    whole = np.array([(-x, -y), (x, -y), (x, y), (-x, y)])
    plane: Array = np.zeros(3)
    wanted = load * np.array([1.0, ex, ey])
    contact = whole
    for _ in range(60):
        previous = plane
        plane = np.asarray(np.linalg.solve(_moments(contact), wanted), np.float64)
        contact = _pressed(whole, plane)
        if np.allclose(plane, previous, rtol=1e-12, atol=0.0):
            break
    return float(plane @ (1.0, x, y))


def _pressed(corners: Array, plane: Array) -> Array:
    """Return the part of a polygon where the plane of pressure is above zero."""
    heights = plane[0] + corners @ plane[1:]
    kept: list[Array] = []
    for here in range(len(corners)):
        after = (here + 1) % len(corners)
        if heights[here] > 0.0:
            kept.append(corners[here])
        if heights[here] * heights[after] < 0.0:
            share = heights[here] / (heights[here] - heights[after])
            kept.append(corners[here] + share * (corners[after] - corners[here]))
    return np.array(kept)


def _moments(polygon: Array) -> Array:
    """Return area, first and second moments of a polygon as a symmetric matrix."""
    x, y = polygon.T
    nx, ny = np.roll(x, -1), np.roll(y, -1)
    twice = x * ny - nx * y
    area = twice.sum() / 2.0
    sx, sy = ((x + nx) * twice).sum() / 6.0, ((y + ny) * twice).sum() / 6.0
    ixx = ((x * x + x * nx + nx * nx) * twice).sum() / 12.0
    iyy = ((y * y + y * ny + ny * ny) * twice).sum() / 12.0
    ixy = ((x * ny + 2 * x * y + 2 * nx * ny + nx * y) * twice).sum() / 24.0
    return np.array([[area, sx, sy], [sx, ixx, ixy], [sy, ixy, iyy]])
