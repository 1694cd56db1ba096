"""Coded observations. The usual grade is a suggestion to the inspector, no verdict."""

from dataclasses import dataclass
from types import MappingProxyType

from monitor.domain.vocabulary import Grade


@dataclass(frozen=True, slots=True)
class FindingCode:
    """One thing an inspector can see.

    Attributes
    ----------
    code : as stored
    label : as people say it
    usual_grade : what it commonly counts as (common practice, no source)
    """

    code: str
    label: str
    usual_grade: Grade


FINDINGS = MappingProxyType(
    {
        f.code: f
        for f in (
            FindingCode("cracked weld", "cracked weld", Grade.MAKE_SAFE),
            FindingCode("bent post", "post bent or bowed", Grade.ACT),
            FindingCode("struck", "struck by a vehicle or a fallen branch", Grade.ACT),
            FindingCode("coating damage", "coating damaged", Grade.WATCH),
            FindingCode("rust at grade", "rust at the soil line", Grade.WATCH),
            FindingCode("daylight at saddle", "daylight at the saddle", Grade.WATCH),
            FindingCode("crushed bark", "bark crushed at the saddle", Grade.WATCH),
            FindingCode("loose nut", "nut loose or missing", Grade.ACT),
            FindingCode("buried nut", "nut and washer growing in", Grade.WATCH),
            FindingCode("seized screw", "screw seized or run out", Grade.ACT),
            FindingCode("washed out", "ground washed out under the plate", Grade.ACT),
            FindingCode("ooze", "ooze from the hole", Grade.WATCH),
            FindingCode("conk", "conk or other fruit body", Grade.ACT),
            FindingCode("dead bark", "dead bark beside the hardware", Grade.WATCH),
            FindingCode(
                "new crack", "new crack out of the hole or union", Grade.MAKE_SAFE
            ),
            FindingCode("thin crown", "crown thinning or dying back", Grade.WATCH),
            FindingCode("broken wire", "broken wire in the strand", Grade.ACT),
            FindingCode("grip slip", "grip or clip slipped", Grade.ACT),
            FindingCode("no slack", "sling tight, no slack left", Grade.ACT),
            FindingCode("worn rope", "rope worn, faded or melted", Grade.ACT),
            FindingCode("anchor moved", "anchor or soil cone moved", Grade.ACT),
            FindingCode("dead limb", "supported part dead", Grade.ACT),
            FindingCode(
                "works nearby", "digging or building near the base", Grade.WATCH
            ),
            FindingCode("other", "something else, see note", Grade.NOTE),
        )
    }
)
