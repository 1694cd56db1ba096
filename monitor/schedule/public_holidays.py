"""Public holidays of a country or a part of it, by a library that knows their laws."""

from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from monitor.errors import InvalidInput


@dataclass(frozen=True, slots=True)
class PublicHolidays:
    """The holidays of a region, year by year as they are asked for.

    Attributes
    ----------
    region : ISO 3166 code of a country, or of a part of it, such as "DE" or "DE-BY"
    """

    region: str

    def holds(self, on: date) -> bool:
        """Whether the day is a holiday there."""
        return on in _days(self.region, on.year)

    def began(self, on: date) -> date:
        """The day itself."""
        return on

    def ends(self, on: date) -> date:
        """The day itself."""
        return on

    def falls(self) -> str:
        """In a sentence."""
        return f"falls on a public holiday ({self.region})"


def checked_region(text: str) -> str:
    """A region as typed, in the usual spelling; empty for none.

    Raises
    ------
    InvalidInput : the country, or the part of it, is not known

    Examples
    --------
    >>> checked_region("de-by")
    'DE-BY'
    """
    region = text.strip().upper()
    if not region:
        return ""
    try:
        _days(region, 2026)
    except NotImplementedError:
        raise _refusal(text, region) from None
    return region


@lru_cache(maxsize=1024)
def _days(region: str, year: int) -> frozenset[date]:
    import holidays

    country, _, part = region.partition("-")
    found = holidays.country_holidays(country, subdiv=part or None, years=year)
    return frozenset(on for on in found if on.year == year)


def _refusal(text: str, region: str) -> InvalidInput:
    import holidays

    country, _, part = region.partition("-")
    parts = holidays.list_supported_countries().get(country)
    if parts is None:
        message = (
            f"No public holidays are known for “{text.strip()[:20]}”: expected the ISO "
            "code of a country such as “DE” or “GB”, or of a part such as “DE-BY” or "
            "“GB-SCT”; empty for none."
        )
    else:
        known = ", ".join(parts[:12]) or "none"
        more = " and others" if len(parts) > 12 else ""
        message = (
            f"{country} is known, its part “{part[:20]}” is not; known parts are "
            f"{known}{more}."
        )
    return InvalidInput(message, field="holidays", code="sch-012")
