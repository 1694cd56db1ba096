"""How strong an event must be to call for looks, and how soon: data with sources."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from monitor.domain.vocabulary import EventKind

_COMMON = "common practice, no source"
_BEAUFORT_9 = (
    "75 km/h, lower edge of Beaufort 9, larger branches break (WMO Beaufort scale; it "
    "is a mean wind, gusts are stronger); days: common practice, no source"
)
_BEAUFORT_10 = (
    "89 km/h, lower edge of Beaufort 10, trees are uprooted (WMO Beaufort scale; it "
    "is a mean wind, gusts are stronger); days: common practice, no source"
)


@dataclass(frozen=True, slots=True)
class Trigger:
    """From a size on, who is looked at within how many days. None: not at all.

    Attributes
    ----------
    at_least : size of the event, in the unit of its kind
    doubtful_days : supports on watch or worse [d]
    people_days : supports over constantly or frequently used places [d]
    other_days : all others [d]
    """

    at_least: float
    doubtful_days: int | None
    people_days: int | None
    other_days: int | None
    source: str


@dataclass(frozen=True, slots=True)
class EventRule:
    """What one kind of event calls for.

    Attributes
    ----------
    size : what its magnitude is
    unit : of the magnitude; empty if it has none
    triggers : weakest first
    again_days : further looks so often while it lasts, None for one look [d]
    """

    size: str
    unit: str
    triggers: tuple[Trigger, ...]
    again_days: int | None = None

    def trigger(self, magnitude: float | None) -> Trigger | None:
        """The strongest trigger reached; None if the event is too weak for any.

        An event of unknown size counts as a strong one: someone saw cause to enter it.
        """
        if magnitude is None:
            return self.triggers[-1]
        reached = [t for t in self.triggers if magnitude >= t.at_least - 1e-9]
        return reached[-1] if reached else None


EVENT_RULES: Mapping[EventKind, EventRule] = MappingProxyType(
    {
        EventKind.STORM: EventRule(
            "gust",
            "m/s",
            (
                Trigger(75 / 3.6, 2, None, None, _BEAUFORT_9),
                Trigger(89 / 3.6, 2, 3, 14, _BEAUFORT_10),
            ),
        ),
        EventKind.ICE: EventRule("ice", "mm", (Trigger(6, 2, 3, 14, _COMMON),)),
        EventKind.SNOW: EventRule(
            "wet snow", "mm", (Trigger(100, 2, 3, 14, _COMMON),)
        ),
        EventKind.EARTHQUAKE: EventRule(
            "intensity",
            "MMI",
            (
                Trigger(
                    5, 1, 3, 14,
                    "felt strongly, Modified Mercalli V, as dam owners do after an "
                    "earthquake; days: common practice, no source",
                ),
            ),
        ),
        EventKind.VEHICLE_STRIKE: EventRule(
            "",
            "",
            (
                Trigger(
                    0, 0, 0, 0,
                    "same day; a collision calls for a special inspection of a bridge "
                    "(UK highway structures practice), by analogy",
                ),
            ),
        ),
        EventKind.EXCAVATION: EventRule(
            "", "", (Trigger(0, 0, 0, 0, _COMMON),), again_days=7
        ),
        EventKind.FLOOD: EventRule(
            "rain in 24 hours", "mm", (Trigger(50, 3, 7, 14, _COMMON),)
        ),
    }
)  # fmt: skip
"""The proposal, to be edited; local law and a qualified arborist decide."""
