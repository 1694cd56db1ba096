"""What people call the columns of their lists, by kind of file and by our field.

The words are general trade language; to teach the import another one, add it here.
Several words of one field are separated by “|”; case, dots, dashes and underscores do
not matter.
"""

from enum import StrEnum
from types import MappingProxyType


class FileKind(StrEnum):
    """What one file holds."""

    SUPPORTS = "supports"
    INSPECTIONS = "inspections"
    WORKS = "works"
    CORRECTIONS = "corrections"


NO_NUMBER = MappingProxyType(
    {
        "n/a": "not measured",
        "n.a.": "not measured",
        "na": "not measured",
        "n/m": "not measured",
        "-": "not measured",
        "–": "not measured",
        "not taken": "not measured",
        "no access": "could not reach",
        "not accessible": "could not reach",
        "not reached": "could not reach",
        "unreachable": "could not reach",
    }
)
"""What people write in place of a number, and the answer it gives."""

_SUPPORT = (
    "tag|tag no|tag nr|tag number|tag id|support id|support code|support no|"
    "support number|support ref|system|system no|asset|asset id|asset no|ref|ref no"
)
_MEMBER = (
    "member code|member no|member id|part|part no|component|element|leg|post no|"
    "post id|post number|limb post no|prop|prop no|pin no|cable no|piece|item no"
)
_MARK = "point|measuring point|position|spot|mark no|location on member|where"
_DATE = "day|date of inspection|inspection date|inspected|inspected on|visit date|visit"
_NOTE = "notes|remark|remarks|comment|comments|observations text"
_REPEAT = "rep|repeat no|reading no|repetition"

FIELDS = MappingProxyType(
    {
        FileKind.SUPPORTS: {
            "owner": "client|property owner|duty holder|owned by",
            "manager": "managed by|responsible|looked after by|management",
            "installer": "installed by|contractor|fitted by|erected by|supplier",
            "site": "site code|site id|site no|site ref|location code|place code|park",
            "site name": "location|place|street|park name|site description|address",
            "time zone": "timezone|tz",
            "exposure": "corrosivity|corrosion category|corrosivity class|environment",
            "latitude": "lat|latitude deg",
            "longitude": "lon|long|lng|longitude deg",
            "soil": "ground|soil type|subsoil",
            "access": "access note|access notes|how to get there",
            "quiet seasons": "no go seasons|no go|closed seasons|seasons|quiet season",
            "holidays": "public holidays|holiday region|bank holidays|holidays kept",
            "access hours": "opening hours|hours of access|opening times|open hours",
            "tree": "tree code|tree no|tree id|tree number|tree tag|tree ref",
            "species": "tree species|botanical name|latin name|kind of tree",
            "heritage": "heritage tree|protected|listed|protected tree|veteran",
            "stem diameter": "dbh|stem dia|trunk diameter|stem|diameter breast height",
            "stem measured": "stem measured on|dbh date|dbh measured|stem date",
            "support": _SUPPORT,
            "reason": "defect|why|purpose|reason for support|weakness",
            "target": "beneath|target beneath|what is beneath|under it",
            "occupancy": "target occupancy|use|how often used|how busy|footfall",
            "consequence": "consequences|severity|consequence of failure|if it fails",
            "interval": "inspection interval|interval months|cycle|inspection cycle",
            "interval reason": "interval set by|reason for interval|why interval",
            "member": _MEMBER,
            "kind": "type|member kind|member type|support type|hardware|what",
            "installed": (
                "installed on|date installed|installation date|install date|fitted|"
                "fitted on|date fitted|erected|erected on|date erected|built|put in"
            ),
            "removed": "removed on|date removed|removal date|taken out|retired",
            "removal note": "removal reason|why removed|reason removed",
            "bearing": "azimuth|direction|compass bearing|orientation|bearing of x",
            "note": _NOTE,
        },
        FileKind.INSPECTIONS: {
            "support": _SUPPORT,
            "member": _MEMBER,
            "mark": _MARK,
            "date": _DATE,
            "kind": "inspection kind|inspection type|type|type of visit|visit type",
            "inspector": "inspected by|surveyor|by|who|checked by|seen by|initials",
            "quantity": "measurement|measured|what|parameter|what was measured|item",
            "value": "reading|result|measured value|reading value|figure",
            "unit": "units|uom|unit of measure",
            "method": "how|measured with|method of measurement|measured by|tool",
            "instrument": "instrument code|instrument no|gauge|gauge no|meter|device",
            "answer": "outcome|status|measured or not",
            "why": "reason|reason not measured|why not",
            "air": "temperature|air temperature|air temp|temp",
            "leaf": "leaf state|leaves|foliage|in leaf",
            "finding": "defect|defect code|observation|finding code|fault|seen",
            "grade": "severity|priority|rating|grade of finding|urgency",
            "note": _NOTE,
            "repeat": _REPEAT,
        },
        FileKind.WORKS: {
            "support": _SUPPORT,
            "member": _MEMBER,
            "date": "done|done on|date done|work date|day|date of work|completed",
            "work": "kind|type|work type|action|what was done|works|job",
            "done by": "by|who|contractor|carried out by|firm|worker",
            "note": _NOTE,
            "restarts": "restart|starts anew|new baseline for|new segment|new baseline",
            "closes": "closed findings|resolves|closes findings|defects closed",
        },
        FileKind.CORRECTIONS: {
            "support": _SUPPORT,
            "member": _MEMBER,
            "mark": _MARK,
            "date": _DATE,
            "inspector": "inspected by|surveyor|who",
            "quantity": "measurement|measured|what|parameter|item",
            "repeat": _REPEAT,
            "value": "corrected value|new value|correct value|right value|reading",
            "unit": "units|uom",
            "reason": "why|reason for correction|correction reason|because",
        },
    }
)

REQUIRED = MappingProxyType(
    {
        FileKind.SUPPORTS: ("support", "member", "kind", "installed"),
        FileKind.INSPECTIONS: ("support", "date", "inspector"),
        FileKind.WORKS: ("support", "date", "work"),
        FileKind.CORRECTIONS: ("support", "date", "quantity", "value", "reason"),
    }
)

FACT_WORDS = MappingProxyType(
    {
        "section": "profile|shape|tube",
        "width_mm": (
            "od|o d|size od|od size|size|outside diameter|outer diameter|outside width|"
            "width"
        ),
        "depth_mm": "outside depth|depth of section",
        "wall_mm": "wall thk|wall thickness|wt|wall t|thickness|nominal wall",
        "length_mm": "len|post length|overall length|height of post|cable length",
        "material": "grade of steel|steel|steel grade",
        "coating": "paint|paint system|coating system|finish",
        "coating_um": "dft|dry film thickness|paint thickness|coat thickness",
        "screw_diameter_mm": "jack diameter|spindle diameter|screw dia|spindle dia",
        "screw_pitch_mm": "pitch|thread pitch|jack pitch|spindle pitch",
        "screw_length_mm": "spindle length|jack length|thread length",
        "screw_extension_mm": "jack extension|extension as set|thread exposed",
        "plate_length_mm": "plate length|base length",
        "plate_width_mm": "plate width|base width",
        "plate_thickness_mm": "plate thickness|plate thk|base thickness",
        "footing_soil": "footing|soil under footing|bearing soil",
        "footing_depth_mm": "footing depth|depth of footing|founding depth",
        "stem_distance_mm": "stem distance|distance from trunk|offset from stem",
        "saddle": "cradle|yoke|head|saddle type",
        "limb_held_sideways": "held sideways|sideways|restrained sideways",
        "limb_diameter_mm": "limb dia|limb diameter|branch diameter|limb size",
        "set_load_kn": "set load|load set|preload|initial load",
        "drain_hole": "weep hole|drain",
        "diameter_mm": "dia|rod dia|rod diameter|cable dia|cable diameter|rope dia",
        "hole_diameter_mm": "hole|hole dia|drilled|drill diameter|bore",
        "wood_thickness_mm": "wood thickness|wood|grip length|wood between washers",
        "washers": "washer|washer type",
        "nuts": "nuts each end|number of nuts",
        "line": "rope type|cable type|line type|construction",
        "grade": "rope grade|strand grade|cable grade|strength grade",
        "terminations": "ends|end fittings|termination",
        "height_mm": "attachment height|height|height above ground",
        "breaking_kn": "breaking load|mbl|strength|minimum breaking load",
        "set_tension_kn": "set tension|installed tension|initial tension",
        "replace_by": "replacement date|replace before|expiry|expires|maker s date",
        "ground_angle_deg": "angle|ground angle|guy angle",
        "anchor": "anchor type|ground anchor",
        "anchor_depth_mm": "depth of anchor|embedment",
        "anchor_rod_mm": "anchor rod|anchor rod dia",
        "proof_load_kn": "proof load|tested load|test load",
    }
)

QUANTITY_WORDS = MappingProxyType(
    {
        "tilt_x": (
            "tilt x|lean x|tilt away|lean away|lean from stem|lean away from stem|"
            "out from stem|plumb x"
        ),
        "tilt_y": (
            "tilt y|lean y|tilt side|lean side|lean sideways|lean to side|plumb y"
        ),
        "settlement": "settled|sinking|level change|plate level|settlement plate",
        "wall": "wall thk|wall thickness|wt|ut|ut reading|remaining wall|thickness",
        "coating": "dft|paint thickness|coat thickness|coating thk",
        "rusted_area": "rust|rust %|rusted|rust area|percent rust",
        "gap": "saddle gap|daylight|gap saddle|lift off",
        "indentation": "bark crush|bark dent|dent in bark",
        "jack_extension": "jack|extension|thread exposed|exposed thread|screw out",
        "jack_engagement": "engagement|thread engaged|engaged thread|thread left",
        "limb_height": "limb level|height of limb|limb mark height",
        "limb_diameter": "limb dia|limb size|branch diameter",
        "wound_width": "wound w|wound across|open width|hole width",
        "wound_height": "wound h|wound along|open height|hole height",
        "lip": "callus|callus roll|woundwood|woundwood roll",
        "projection": "rod projection|rod end|stick out|proud of bark",
        "crack_width": "crack|crack pins|crack opening",
        "tension": "cable tension|pull|line tension|force",
        "sag": "cable sag|mid span sag|sag mid span",
        "slack": "spare length|free length|spare|sling spare",
        "strand_diameter": "strand dia|rope diameter|cable diameter|wire diameter",
        "rod_diameter": "rod dia|rod at soil line|rod",
    }
)
