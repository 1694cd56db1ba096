"""What visits and works cost: the duty-holder's own figures, none of ours."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from monitor.domain.vocabulary import InspectionKind, WorkKind

_MOST = 1e7


@dataclass(frozen=True, slots=True)
class Costs:
    """Prices in one currency; 0 where nothing was said.

    Attributes
    ----------
    currency : as it is printed, such as "EUR"
    visit : for one visit, whatever it takes, by kind of inspection
    hour : of a person on site or on the way [1/h]
    km, km_a_visit : for one kilometre, and kilometres that one visit takes [km]
    work : for one work, by kind
    """

    currency: str = ""
    hour: float = 0.0
    km: float = 0.0
    km_a_visit: float = 0.0
    visit: Mapping[InspectionKind, float] = field(default_factory=dict)
    work: Mapping[WorkKind, float] = field(default_factory=dict)

    @property
    def is_told(self) -> bool:
        """Whether anything has a price."""
        prices = (self.hour, self.km, *self.visit.values(), *self.work.values())
        return any(price > 0 for price in prices)

    def of_visit(self, kind: InspectionKind, minutes: float) -> float:
        """One visit of so many minutes, on site and on the way."""
        fixed = self.visit.get(kind, 0.0)
        return fixed + self.hour * minutes / 60 + self.km * self.km_a_visit

    def of_work(self, kind: WorkKind, minutes: float) -> float:
        """One work of so many minutes."""
        return self.work.get(kind, 0.0) + self.hour * minutes / 60


def costs_to_plain(costs: Costs) -> dict[str, Any]:
    """As dicts, words and numbers."""
    return {
        "currency": costs.currency,
        "hour": costs.hour,
        "km": costs.km,
        "km_a_visit": costs.km_a_visit,
        "visit": {kind.value: price for kind, price in costs.visit.items()},
        "work": {kind.value: price for kind, price in costs.work.items()},
    }


def costs_from_plain(data: Mapping[str, Any]) -> Costs:
    """Read them back.

    Raises
    ------
    ValueError, TypeError : naming what is unknown or no price
    """
    known = {"currency", "hour", "km", "km_a_visit", "visit", "work"}
    unknown = sorted(set(data) - known)
    if unknown:
        raise ValueError(f"“{unknown[0]}” is not a part of the costs")
    return Costs(
        currency=str(data.get("currency", ""))[:8],
        hour=_price(data, "hour"),
        km=_price(data, "km"),
        km_a_visit=_price(data, "km_a_visit"),
        visit={InspectionKind(k): p for k, p in _prices(data, "visit").items()},
        work={WorkKind(k): p for k, p in _prices(data, "work").items()},
    )


def _prices(data: Mapping[str, Any], name: str) -> dict[str, float]:
    """Prices by kind; those of 0 are left out."""
    told: Mapping[str, Any] = data.get(name, {})
    prices = {kind: _price(told, kind) for kind in told}
    return {kind: price for kind, price in prices.items() if price > 0}


def _price(data: Mapping[str, Any], name: str) -> float:
    value = data.get(name, 0.0)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError(f"the cost “{name}” is {value!r}; a number is expected")
    if not 0 <= value <= _MOST:  # also refuses what is no number
        raise ValueError(f"the cost “{name}” is {value}; expected 0 to {_MOST:.0f}")
    return float(value)
