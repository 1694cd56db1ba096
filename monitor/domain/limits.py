"""Default watch and act values, each with where it comes from.

No published standard gives limits for posts, pins and cables under trees. These are
starting values by analogy and common practice; a competent person sets them per
support, and an override carries its reason.
"""

from dataclasses import dataclass
from types import MappingProxyType

from monitor.domain.vocabulary import Harm, LimitBasis


@dataclass(frozen=True, slots=True)
class Limits:
    """Two levels for one series.

    Attributes
    ----------
    series : name of the series
    basis : what the values are counted from
    watch, act : levels [unit of the quantity, or a fraction of the baseline]
    source : where they come from, shown wherever they are shown
    """

    series: str
    basis: LimitBasis
    watch: float
    act: float
    source: str

    def levels(self, baseline: float, harm: Harm) -> tuple[float, float]:
        """Watch and act as levels of the reading itself. [unit of the quantity]

        For a vector the result is the radius about the baseline. For a quantity that
        is harmful both ways the upper level is returned; the lower one mirrors it.
        """
        match self.basis:
            case LimitBasis.ABSOLUTE:
                return self.watch, self.act
            case LimitBasis.FRACTION:
                return self.watch * baseline, self.act * baseline
            case LimitBasis.CHANGE:
                if harm is Harm.AWAY:
                    return self.watch, self.act
                sign = -1.0 if harm is Harm.DOWN else 1.0
                return baseline + sign * self.watch, baseline + sign * self.act


_ABSOLUTE, _CHANGE, _FRACTION = (
    LimitBasis.ABSOLUTE,
    LimitBasis.CHANGE,
    LimitBasis.FRACTION,
)
_PRACTICE = "common practice, no source"

DEFAULT_LIMITS = MappingProxyType(
    {
        limits.series: limits
        for limits in (
            Limits(
                "tilt", _CHANGE, 3.0, 6.67,
                "act: relative rotation 1/150, EN 1997-1 annex H, by analogy; "
                "watch: common practice, no source",
            ),
            Limits("settlement", _CHANGE, 3.0, 8.0, _PRACTICE),
            Limits(
                "wall", _FRACTION, 0.90, 0.75,
                "loss classes of 10 % and 25 % used for steel poles; common practice",
            ),
            Limits("coating", _FRACTION, 0.5, 0.2, _PRACTICE),
            Limits(
                "rusted_area", _ABSOLUTE, 0.3, 1.0,
                "ISO 4628-3 Ri 3 is about 1 % rusted area; watch: common practice",
            ),
            Limits("gap", _ABSOLUTE, 1.0, 3.0, _PRACTICE),
            Limits("indentation", _ABSOLUTE, 5.0, 15.0, _PRACTICE),
            Limits(
                "jack_engagement", _ABSOLUTE, 150.0, 100.0,
                "overlap of 150 mm as for scaffold base jacks, EN 12811-1 (from "
                "memory), by analogy; act: common practice",
            ),
            Limits("limb_height", _CHANGE, 20.0, 50.0, _PRACTICE),
            Limits("wound_width", _CHANGE, 2.0, 5.0, _PRACTICE),
            Limits("wound_height", _CHANGE, 3.0, 8.0, _PRACTICE),
            Limits("projection", _ABSOLUTE, 10.0, 2.0, _PRACTICE),
            Limits("crack_width", _CHANGE, 0.5, 2.0, _PRACTICE),
            Limits(
                "tension", _FRACTION, 1.10, 1.25,
                "guy tension within 10 % of the set value, TIA-222 as restated, by "
                "analogy; act: common practice",
            ),
            Limits("slack", _ABSOLUTE, 100.0, 30.0, _PRACTICE),
            Limits(
                "strand_diameter", _FRACTION, 0.97, 0.94,
                "retire at 6 % loss of diameter, 30 CFR 56.19024, by analogy; watch: "
                "common practice",
            ),
            Limits("rod_diameter", _FRACTION, 0.95, 0.90, _PRACTICE),
        )
    }
)  # fmt: skip
