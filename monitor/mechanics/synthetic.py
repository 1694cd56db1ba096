"""How long synthetic rope may stay in a tree, and how strong a crown support must be.

References
----------
.. [1] ZTV-Baumpflege (German contract terms for tree care): function for at least
   eight years, as reproduced; strength by base diameter from secondary pages.
.. [2] Fibres: polypropylene 25-50 % loss in half a year to two years when not
   stabilised (weak source); high-modulus polyethylene creeps (from memory).
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.guard import positive

LIFE_YEARS = 8
NOTICE_YEARS = 2
_TONNE_KN = 9.80665
_DYNAMIC_T = ((400.0, 2.0), (600.0, 4.0), (800.0, 8.0))
_HOLDING_T = ((300.0, 2.0), (400.0, 4.0), (600.0, 8.0), (800.0, 16.0))


class Support(StrEnum):
    """What a crown support is for."""

    DYNAMIC = "dynamic breakage restraint"
    STATIC = "static breakage restraint"
    HOLDING = "load holding"


@dataclass(frozen=True, slots=True)
class ServiceLife:
    """When a synthetic part has served, and by whose word."""

    ends_on: date
    reason: str


def service_life(
    installed_on: date | None, maker_end_on: date | None, life_years: int = LIFE_YEARS
) -> ServiceLife:
    """Return the last day of service; the maker's date overrules the rule of years."""
    if maker_end_on is not None:
        if installed_on is not None and maker_end_on < installed_on:
            raise InvalidInput("The maker's date lies before the installation.")
        return ServiceLife(maker_end_on, "the maker's date")
    if installed_on is None:
        raise InsufficientData(
            "Neither maker's date nor day of installation is recorded; needed: the "
            "year on the end cap, or the papers."
        )
    years = int(positive("service life", life_years, "y"))
    reason = f"{years} years after installation, no maker's date recorded"
    return ServiceLife(_years_later(installed_on, years), reason)


def share_of_life(installed_on: date, life: ServiceLife, today: date) -> float:
    """Return how much of the service life is over: 0 new, 1 at its end."""
    whole = (life.ends_on - installed_on).days
    if whole <= 0:
        raise InvalidInput("The service life ends on or before the installation.")
    return (today - installed_on).days / whole


def minimum_strength_kn(support: Support, base_diameter_mm: float) -> float:
    """Return the least strength of the system at the END of its life. [kN]

    Parameters
    ----------
    base_diameter_mm : of the supported limb or stem at its base [mm]
    """
    base = float(positive("base diameter", base_diameter_mm, "mm"))
    table = _DYNAMIC_T if support is Support.DYNAMIC else _HOLDING_T
    for up_to_mm, tonnes in table:
        if base <= up_to_mm:
            return tonnes * _TONNE_KN
    raise InsufficientData(
        f"Above 800 mm base diameter ({base:g} mm found) no table value exists. "
        "Needed: an individual design."
    )


def _years_later(day: date, years: int) -> date:
    try:
        return day.replace(year=day.year + years)
    except ValueError:  # 29 February
        return day.replace(year=day.year + years, day=28)
