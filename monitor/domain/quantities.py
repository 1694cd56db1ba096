"""What is measured on a support: unit, sign, physical range, usual noise, harm.

Usual noise is one standard deviation of a careful repeat in the field. It is
common practice without a published source for tree supports unless said, and it is
replaced by the instrument's own figures where these are recorded.
"""

from dataclasses import dataclass
from types import MappingProxyType

from monitor.domain.vocabulary import Harm, MemberKind
from monitor.errors import NotFound

_POST, _PIN, _CABLE = MemberKind.POST, MemberKind.PIN, MemberKind.CABLE
_ROD, _GUY = MemberKind.ROD, MemberKind.GUY


@dataclass(frozen=True, slots=True)
class Noise:
    """Standard deviation of one reading, in its declared parts.

    Attributes
    ----------
    repeatability : of the instrument [unit of the quantity, or a fraction of the value]
    placement : of setting it on the mark again [same]
    resolution : last step shown [unit of the quantity]
    relative : whether repeatability and placement are fractions of the value
    """

    repeatability: float
    placement: float = 0.0
    resolution: float = 0.0
    relative: bool = False

    def at(self, value: float) -> "Noise":
        """The same noise in the unit of the quantity, for a reading of `value`."""
        if not self.relative:
            return self
        size = abs(value)
        return Noise(self.repeatability * size, self.placement * size, self.resolution)


@dataclass(frozen=True, slots=True)
class Quantity:
    """One thing that is read.

    Attributes
    ----------
    name : the key, as stored
    label : as people say it
    unit : canonical unit, as in `monitor.units`
    sign : what a larger number means
    low, high : physical range; a reading outside it is refused [unit]
    noise : usual noise of one reading
    harm : which way is worse
    kinds : members it is read on
    mark : where it is usually read
    series : name of the series it belongs to (both tilt axes make one)
    axis : 0, or 1 for the second component of a vector
    one_way : whether the true value can only go the harmful way between works
    floor, ceiling : values the true level can not pass, if any [unit]
    law : set of laws of movement in time that are weighed, see `monitor.trends`
    first_gap_years : longest gap while there are three readings or fewer [yr]; metal
        and coating go slowly from their first day (common practice, no source)
    """

    name: str
    label: str
    unit: str
    sign: str
    low: float
    high: float
    noise: Noise
    harm: Harm
    kinds: tuple[MemberKind, ...]
    mark: str
    series: str = ""
    axis: int = 0
    one_way: bool = False
    floor: float | None = None
    ceiling: float | None = None
    law: str = "steady"
    first_gap_years: float = 1.0

    @property
    def series_name(self) -> str:
        """The series this reading belongs to."""
        return self.series or self.name


_CATALOGUE = (
    Quantity(
        "tilt_x", "tilt away from the stem", "mm/m", "+ top leans away from the stem",
        -350, 350, Noise(1.0, 0.5, 0.1), Harm.AWAY, (_POST,), "face",
        series="tilt", axis=0, law="ground",
    ),
    Quantity(
        "tilt_y", "tilt to the side", "mm/m",
        "+ top leans clockwise about the stem, seen from above",
        -350, 350, Noise(1.0, 0.5, 0.1), Harm.AWAY, (_POST,), "face",
        series="tilt", axis=1, law="ground",
    ),
    Quantity(
        "settlement", "settlement", "mm", "+ down; heave is −",
        -300, 300, Noise(0.7, 0.5, 0.5), Harm.UP, (_POST,), "plate", law="ground",
    ),
    Quantity(
        "wall", "wall thickness", "mm", "metal left",
        0, 60, Noise(0.1, 0.1, 0.1), Harm.DOWN, (_POST, _GUY), "at grade",
        one_way=True, floor=0.0, law="wall", first_gap_years=3.0,
    ),
    Quantity(
        "coating", "coating thickness", "um", "coating left",
        0, 3000, Noise(8, 5, 1), Harm.DOWN, (_POST, _GUY), "at grade",
        one_way=True, floor=0.0, first_gap_years=3.0,
    ),
    Quantity(
        "rusted_area", "rusted area", "%", "share of the surface looked at",
        0, 100, Noise(0.15, 0.1, 0.1), Harm.UP, (_POST, _GUY, _PIN, _ROD), "at grade",
        floor=0.0, ceiling=100.0, first_gap_years=3.0,
    ),
    Quantity(
        "gap", "gap at the saddle", "mm", "+ daylight, 0 contact",
        0, 200, Noise(0.3, 0.3, 0.1), Harm.UP, (_POST,), "saddle", floor=0.0,
    ),
    Quantity(
        "indentation", "bark indentation", "mm", "+ saddle pressed into bark",
        0, 200, Noise(1.0, 1.0, 1.0), Harm.UP, (_POST,), "saddle", floor=0.0,
    ),
    Quantity(
        "jack_extension", "screw extension", "mm", "+ longer",
        0, 1000, Noise(0.5, 0.5, 0.5), Harm.UP, (_POST,), "screw",
    ),
    Quantity(
        "jack_engagement", "screw engagement", "mm", "thread still held in the tube",
        0, 1000, Noise(0.5, 0.5, 0.5), Harm.DOWN, (_POST,), "screw", floor=0.0,
    ),
    Quantity(
        "limb_height", "height of the limb mark", "mm", "+ up, from the benchmark",
        0, 60_000, Noise(2.0, 1.5, 1.0), Harm.DOWN, (_POST, _CABLE), "limb",
        law="ground",
    ),
    Quantity(
        "limb_diameter", "limb diameter at the support", "mm", "over bark",
        20, 5000, Noise(2.0, 2.0, 1.0), Harm.NONE, (_POST, _CABLE), "limb",
    ),
    Quantity(
        "wound_width", "open wound width", "mm", "across the grain, bark edge to edge",
        0, 1000, Noise(0.7, 0.7, 0.5), Harm.UP, (_PIN, _ROD, _CABLE), "wound",
        floor=0.0, law="wound",
    ),
    Quantity(
        "wound_height", "open wound height", "mm", "along the grain",
        0, 3000, Noise(0.7, 0.7, 0.5), Harm.UP, (_PIN, _ROD, _CABLE), "wound",
        floor=0.0, law="wound",
    ),
    Quantity(
        "lip", "woundwood lip", "mm", "width of the roll, one side",
        0, 300, Noise(1.0, 1.0, 0.5), Harm.NONE, (_PIN, _ROD, _CABLE), "wound",
        floor=0.0, first_gap_years=3.0,
    ),
    Quantity(
        "projection", "projection from the bark", "mm",
        "rod end, nut and washer standing proud of the bark",
        -100, 500, Noise(0.7, 0.7, 0.5), Harm.DOWN, (_PIN, _ROD, _CABLE), "nut",
        one_way=True,
    ),
    Quantity(
        "crack_width", "crack across the union", "mm", "+ wider, between two pins",
        -20, 200, Noise(0.07, 0.07, 0.05), Harm.UP, (_PIN, _ROD, _CABLE, _POST),
        "union",
    ),
    Quantity(
        "tension", "tension", "kN", "+ pull",
        0, 2000, Noise(0.05, 0.03, 0.01, relative=True), Harm.BOTH, (_CABLE, _GUY),
        "line", floor=0.0, law="cable",
    ),
    Quantity(
        "sag", "sag at mid-span", "mm", "+ down",
        0, 5000, Noise(5.0, 5.0, 5.0), Harm.UP, (_CABLE,), "line", floor=0.0,
    ),
    Quantity(
        "slack", "spare length", "mm", "length still free in the sling or line",
        0, 5000, Noise(3.0, 3.0, 1.0), Harm.DOWN, (_CABLE,), "sling", floor=0.0,
    ),
    Quantity(
        "strand_diameter", "strand diameter", "mm", "over the wires",
        0, 100, Noise(0.03, 0.05, 0.01), Harm.DOWN, (_CABLE, _GUY), "line",
        one_way=True, floor=0.0, first_gap_years=3.0,
    ),
    Quantity(
        "rod_diameter", "rod diameter at the soil line", "mm", "metal left",
        0, 200, Noise(0.1, 0.1, 0.05), Harm.DOWN, (_GUY, _ROD), "soil line",
        one_way=True, floor=0.0, law="wall", first_gap_years=3.0,
    ),
)  # fmt: skip

QUANTITIES = MappingProxyType({q.name: q for q in _CATALOGUE})

SERIES = MappingProxyType(
    {
        q.series_name: tuple(c for c in _CATALOGUE if c.series_name == q.series_name)
        for q in _CATALOGUE
    }
)

SERIES_LABEL = MappingProxyType(
    {
        name: "tilt" if name == "tilt" else parts[0].label
        for name, parts in SERIES.items()
    }
)


def quantity(name: str) -> Quantity:
    """The catalogue entry of one quantity, such as "tilt_x"."""
    try:
        return QUANTITIES[name]
    except KeyError:
        raise NotFound(
            "quantity", name, hint=f"Known: {', '.join(QUANTITIES)}."
        ) from None
