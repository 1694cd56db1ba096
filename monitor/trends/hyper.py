"""What the fleet has taught: the few numbers that all series of a group share.

Noise numbers are ratios to the declared noise of a series' first reading, so one set
serves instruments of different quality. Slopes are in the unit of the quantity per
(warped) year, or ratios to the scale of the series where no fleet has been fitted.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Final, Self

from monitor.errors import InvalidInput
from monitor.trends.codes import Law

METHOD_VERSION: Final = "trends-3"

DEFAULT_WEIGHTS: Final = (0.60, 0.25, 0.10, 0.05)
"""Prior share of still, moving, fast and broad series (study on simulated fleets)."""

DEFAULT_SD_RATIOS: Final = (1 / 300, 1 / 30, 1 / 15, 1 / 5)
"""Prior sd of the slope of each regime, in scales per year."""


@dataclass(frozen=True, slots=True)
class GroupHyper:
    """The shared numbers of one group of series.

    Parameters
    ----------
    noise : found noise / declared noise
    drift_noise : sd of the random walk of the level / noise [1/sqrt(yr)]
    slope_noise : sd of the random walk of the slope / noise [1/yr^1.5]
    season_spread : sd of the individual seasonal swing / noise
    season_cos, season_sin : the swing shared by the group / noise
    hazard : chance in a year that a series changes its slope [1/yr]
    noise_df : degrees of freedom of the spread of noise over series
    weights : prior share of the four regimes
    means, sds : slopes of the regimes [unit/yr], empty: from the scale of the series
    laws : pooled weight of each law of movement, empty: from the series alone
    series_count : series the numbers were fitted on
    widen : factor >= 1 on forecast sds that the self-audit asks for
    is_refused : the self-audit refuses dates for this group
    """

    noise: float = 1.0
    drift_noise: float = 0.2
    slope_noise: float = 0.0
    season_spread: float = 0.3
    season_cos: float = 0.0
    season_sin: float = 0.0
    hazard: float = 0.02
    noise_df: float = 12.0
    weights: tuple[float, ...] = DEFAULT_WEIGHTS
    means: tuple[float, ...] = ()
    sds: tuple[float, ...] = ()
    laws: Mapping[Law, float] = field(default_factory=lambda: MappingProxyType({}))
    series_count: int = 0
    widen: float = 1.0
    is_refused: bool = False


@dataclass(frozen=True, slots=True)
class Hyper:
    """The shared numbers of all groups, with a version that outlooks carry.

    Parameters
    ----------
    version : name of this set, stored with every outlook
    groups : fitted numbers by group code
    default : numbers of a group that was not fitted
    outlier_share : prior share of gross errors among readings
    outlier_ratio : variance of a gross error / variance of a sound reading
    horizon_years : dates later than this are "not expected" [yr]
    """

    version: str = f"{METHOD_VERSION}/default"
    groups: Mapping[int, GroupHyper] = field(
        default_factory=lambda: MappingProxyType({})
    )
    default: GroupHyper = field(default_factory=GroupHyper)
    outlier_share: float = 0.03
    outlier_ratio: float = 100.0
    horizon_years: float = 100.0

    def of(self, group: int) -> GroupHyper:
        """Return the numbers of a group."""
        return self.groups.get(group, self.default)

    def to_dict(self) -> dict[str, Any]:  # JSON-like, so Any
        """Return the numbers as plain lists, strings and floats for the store."""
        return {
            "version": self.version,
            "groups": {str(code): _group_dict(g) for code, g in self.groups.items()},
            "default": _group_dict(self.default),
            "outlier_share": self.outlier_share,
            "outlier_ratio": self.outlier_ratio,
            "horizon_years": self.horizon_years,
        }

    @classmethod
    def from_dict(cls, plain: Mapping[str, Any]) -> Self:  # JSON-like, so Any
        """Return the numbers that `to_dict` wrote.

        Raises
        ------
        InvalidInput
            if an entry is missing or unknown
        """
        try:
            groups = {int(code): _group(g) for code, g in plain["groups"].items()}
            rest = {k: v for k, v in plain.items() if k not in ("groups", "default")}
            return cls(
                groups=MappingProxyType(groups),
                default=_group(plain["default"]),
                **rest,
            )
        except (KeyError, TypeError, ValueError, AttributeError) as error:
            message = f"These are not fleet numbers of this program: {error}."
            raise InvalidInput(message, field="hyper") from error


def _group_dict(group: GroupHyper) -> dict[str, Any]:  # JSON-like, so Any
    plain = {k: v for k, v in _shallow(group).items() if k != "laws"}
    for name in ("weights", "means", "sds"):
        plain[name] = list(plain[name])
    return plain | {"laws": {law.name: weight for law, weight in group.laws.items()}}


def _shallow(group: GroupHyper) -> dict[str, Any]:  # JSON-like, so Any
    return {name: getattr(group, name) for name in GroupHyper.__slots__}


def _group(plain: Mapping[str, Any]) -> GroupHyper:  # JSON-like, so Any
    laws = {Law[name]: float(weight) for name, weight in plain["laws"].items()}
    rest = {k: v for k, v in plain.items() if k != "laws"}
    for name in ("weights", "means", "sds"):
        rest[name] = tuple(rest[name])
    return GroupHyper(**rest, laws=MappingProxyType(laws))


DEFAULT: Final = Hyper()
