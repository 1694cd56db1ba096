"""Who owns and looks after what, and where it stands."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from monitor.domain.vocabulary import Exposure


@dataclass(frozen=True, slots=True)
class Party:
    """An owner, installer or manager: an organisation or a person."""

    id: UUID
    name: str
    note: str
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class Site:
    """A place with supports on it.

    Attributes
    ----------
    timezone : IANA name; civil dates at the site are dates there
    exposure : corrosivity of the air, ISO 9223, None if unknown
    latitude, longitude : WGS 84 [deg], None if unknown
    quiet_seasons : no-go seasons, as "03-01/08-31 nesting; 12-15/01-05 market"
    holiday_region : whose public holidays are kept, such as "DE-BY"; empty for none
    access_hours : when one can get in, such as "10:00-15:00"; empty for any time
    """

    id: UUID
    code: str
    name: str
    owner_id: UUID
    manager_id: UUID | None
    timezone: str
    exposure: Exposure | None
    latitude: float | None
    longitude: float | None
    soil: str
    access_note: str
    quiet_seasons: str
    recorded_at: datetime
    holiday_region: str = ""
    access_hours: str = ""


@dataclass(frozen=True, slots=True)
class Tree:
    """A tree on a site."""

    id: UUID
    site_id: UUID
    code: str
    species: str
    is_heritage: bool
    latitude: float | None
    longitude: float | None
    note: str
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class StemDiameter:
    """Stem diameter of a tree on one day. [mm]."""

    id: UUID
    tree_id: UUID
    measured_on: date
    diameter_mm: float
    height_m: float
    given: str
    recorded_at: datetime
    supersedes_id: UUID | None
