"""As-built facts of a member, by kind: what is asked once, at installation."""

from dataclasses import dataclass
from types import MappingProxyType

from monitor.domain.vocabulary import MemberKind


@dataclass(frozen=True, slots=True)
class FactSpec:
    """One as-built fact.

    Attributes
    ----------
    name : as stored, with the unit in the name where it is a number
    label : as people say it
    unit : canonical unit of a number; empty for words, choices and dates
    low, high : physical range of a number [unit]
    choices : allowed words; empty means free words, ("date",) a civil date
    """

    name: str
    label: str
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    choices: tuple[str, ...] = ()

    @property
    def is_number(self) -> bool:
        """Whether the fact is a number with a unit."""
        return bool(self.unit)


def _mm(name: str, label: str, high: float, low: float = 0.1) -> FactSpec:
    return FactSpec(name, label, "mm", low, high)


_YES_NO = ("yes", "no")
_DATE = ("date",)

_LINE = (
    FactSpec("line", "line", choices=("steel strand", "wire rope", "synthetic rope")),
    FactSpec("grade", "grade"),
    _mm("diameter_mm", "diameter", 100),
    _mm("length_mm", "length", 100_000),
    FactSpec("terminations", "terminations"),
    _mm("height_mm", "height of attachment", 60_000),
    FactSpec("breaking_kn", "breaking strength", "kN", 0.1, 5000),
    FactSpec("set_tension_kn", "tension as set", "kN", 0.0, 2000),
    FactSpec("replace_by", "maker's replacement date", choices=_DATE),
)

_THROUGH = (
    _mm("diameter_mm", "diameter", 100),
    _mm("hole_diameter_mm", "hole diameter", 150),
    _mm("length_mm", "length", 5000),
    FactSpec("washers", "washers"),
    FactSpec("nuts", "nuts at each end", "count", 0, 6),
    _mm("wood_thickness_mm", "wood between the washers", 5000),
    _mm("side_mm", "steel on each side, thickness", 100),
    FactSpec("load_angle_deg", "angle of the load to the grain", "deg", 0, 90),
    FactSpec("service_load_kn", "load it carries", "kN", 0.1, 2000),
    FactSpec("material", "material and grade"),
    FactSpec("coating", "coating"),
)

FACTS = MappingProxyType(
    {
        MemberKind.POST: (
            FactSpec(
                "section",
                "section",
                choices=(
                    "square hollow",
                    "rectangular hollow",
                    "round hollow",
                    "solid",
                    "timber",
                ),
            ),
            _mm("width_mm", "outside width or diameter", 1000),
            _mm("depth_mm", "outside depth, if rectangular", 1000),
            _mm("wall_mm", "wall as ordered", 60),
            _mm("length_mm", "length", 30_000),
            FactSpec("material", "material and grade"),
            FactSpec("coating", "coating"),
            FactSpec("coating_um", "coating thickness", "um", 1, 3000),
            _mm("screw_diameter_mm", "screw diameter", 150),
            _mm("screw_pitch_mm", "screw pitch", 30),
            _mm("screw_length_mm", "screw length", 2000),
            _mm("screw_extension_mm", "screw extension as set", 1000, 0.0),
            _mm("plate_length_mm", "base plate length", 3000),
            _mm("plate_width_mm", "base plate width", 3000),
            _mm("plate_thickness_mm", "base plate thickness", 100),
            FactSpec("footing_soil", "soil under the plate"),
            _mm("footing_depth_mm", "depth of the plate below grade", 5000, 0.0),
            _mm("stem_distance_mm", "distance from the stem", 30_000),
            FactSpec("saddle", "saddle"),
            FactSpec("limb_held_sideways", "limb held sideways", choices=_YES_NO),
            _mm("limb_diameter_mm", "limb diameter at the saddle", 5000),
            _mm("limb_length_mm", "limb length, stem to tip", 60_000),
            _mm("limb_base_diameter_mm", "limb diameter at the stem", 5000),
            _mm("saddle_clearance_mm", "room around the limb in the saddle", 1000, 0.0),
            FactSpec("set_load_kn", "load as set", "kN", 0.0, 2000),
            FactSpec("drain_hole", "drain hole", choices=_YES_NO),
        ),
        MemberKind.PIN: _THROUGH,
        MemberKind.ROD: _THROUGH,
        MemberKind.CABLE: _LINE,
        MemberKind.GUY: (
            *_LINE,
            FactSpec("ground_angle_deg", "angle to the ground", "deg", 1, 89),
            FactSpec("anchor", "anchor"),
            _mm("anchor_depth_mm", "anchor depth", 10_000),
            _mm("anchor_rod_mm", "anchor rod diameter", 150),
            FactSpec("proof_load_kn", "proof load", "kN", 0.1, 2000),
        ),
    }
)


def fact_spec(kind: MemberKind, name: str) -> FactSpec | None:
    """The fact `name` of a member of that kind, or None if the kind has none such."""
    return next((spec for spec in FACTS[kind] if spec.name == name), None)
