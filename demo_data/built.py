"""As-built facts of members, drawn so that they fit together and vary."""

import math
import random
from collections.abc import Mapping
from datetime import date

from demo_data.rounds import months_on
from demo_data.typing_habits import inches, millimetres, plain

Facts = Mapping[str, str]

_METRIC_SINCE = 1974

# section, outside width, outside depth, wall [mm]
_STEEL = (
    ("round hollow", 88.9, 0.0, 5.0), ("round hollow", 114.3, 0.0, 5.0),
    ("round hollow", 114.3, 0.0, 6.3), ("round hollow", 139.7, 0.0, 6.3),
    ("round hollow", 168.3, 0.0, 8.0), ("square hollow", 90.0, 0.0, 5.0),
    ("square hollow", 120.0, 0.0, 6.3), ("rectangular hollow", 150.0, 100.0, 6.3),
)  # fmt: skip
_TIMBER = (("timber", 150.0, 150.0, 0.0), ("timber", 200.0, 200.0, 0.0))
_SADDLES = (
    "steel cradle with rubber pad", "oak yoke, bolted", "cradle with webbing strap",
    "steel fork with neoprene pad", "padded saddle, two bolts left loose",
)  # fmt: skip
_PINS_MM = (16.0, 19.0, 20.0, 22.0, 24.0, 25.0, 30.0)
_CHEEKS_MM = ((20.0, "10"), (25.0, "12"), (100.0, "15"))  # up to which pin, plates
_MIDDLE_LOAD_KN, _LOAD_OF_BAR = 4.25, 0.005  # a stouter bar where more pulls [kN/mm2]
_ANGLES_DEG = ("", "75", "", "60")
_WASHERS = ("round 60 x 6 mm", "oval 90 x 60 x 8 mm", "square 75 x 8 mm", "round 80 mm")
_STOCKY_MM, _SHORT_MM = 110.0, 3300.0
_BEARING_KPA = (("sandy gravel", 144.0), ("sand", 96.0), ("clay", 72.0))
_SHARE_OF_SOIL = 0.2

# kind of line, grade, diameter [mm], breaking strength [kN]
_STRAND = (
    ("steel strand", "7-wire, extra high strength", 6.4, 29.6),
    ("steel strand", "7-wire, extra high strength", 7.9, 49.8),
    ("steel strand", "7-wire, extra high strength", 9.5, 68.5),
    ("wire rope", "6x19, galvanised", 10.0, 58.0),
    ("wire rope", "6x19, galvanised", 12.0, 84.0),
)
_ROPE = (
    ("synthetic rope", "hollow braid, 4 t", 18.0, 39.0),
    ("synthetic rope", "hollow braid, 8 t", 24.0, 78.0),
)
_ANCHORS = ("helical, one plate", "buried timber plate", "bolt grouted in rock")


def post(rng: random.Random, installed: date, soil: str) -> dict[str, str]:
    """Facts of a post, of timber or steel as was usual at the time."""
    is_timber = rng.random() < (0.4 if installed.year < 1985 else 0.06)
    section, width, depth, wall = rng.choice(_TIMBER if is_timber else _STEEL)
    length = min(width, depth or width) * rng.uniform(23.0, 33.0)
    is_stocky = width > _STOCKY_MM and length < _SHORT_MM
    load = rng.uniform(3.0, 9.0)
    plate = _plate(load, soil)
    facts = {
        "section": section,
        "width_mm": plain(width, 0.1),
        "depth_mm": plain(depth, 1.0) if depth else "",
        "wall_mm": plain(wall, 0.1) if wall else "",
        "length_mm": _length(rng, installed, length),
        "material": _post_material(section, installed),
        "coating": _post_coating(section, installed),
        "plate_length_mm": str(plate),
        "plate_width_mm": str(plate),
        "plate_thickness_mm": str(
            rng.choice((16, 18, 20) if plate < 500 else (20, 22))
        ),
        "footing_soil": soil,
        "footing_depth_mm": str(rng.randrange(200, 801, 50)),
        "stem_distance_mm": _length(rng, installed, rng.uniform(2400.0, 7200.0)),
        "saddle": rng.choice(_SADDLES),
        "limb_held_sideways": "no" if is_stocky and rng.random() < 0.4 else "yes",
        "limb_diameter_mm": str(rng.randrange(380, 760, 10)),
        "set_load_kn": plain(load, 0.1),
    }
    if wall:
        facts["coating_um"] = str(rng.randrange(110, 281, 5))
        facts["drain_hole"] = "yes" if rng.random() < 0.7 else "no"
    return facts


def screw(rng: random.Random) -> dict[str, str]:
    """Facts of the screw on top of a post."""
    return {
        "screw_diameter_mm": str(rng.choice((38, 42, 48))),
        "screw_pitch_mm": "6",
        "screw_length_mm": str(rng.choice((320, 360, 400, 450))),
        "screw_extension_mm": str(rng.randrange(90, 151, 5)),
    }


def pin(rng: random.Random, installed: date) -> dict[str, str]:
    """Facts of a pin: what it goes through, and the plates that hold it both sides."""
    facts = through(rng, installed)
    diameter = millimetres(facts["diameter_mm"])
    side = next(side for up_to, side in _CHEEKS_MM if diameter <= up_to)
    angle = _ANGLES_DEG[installed.day % len(_ANGLES_DEG)]
    drawn = float(facts["service_load_kn"]) / _MIDDLE_LOAD_KN
    load = _LOAD_OF_BAR * diameter**2 * (0.6 + 0.4 * drawn)
    return facts | {
        "side_mm": side,
        "load_angle_deg": angle,
        "service_load_kn": plain(load, 0.1),
    }


def through(rng: random.Random, installed: date) -> dict[str, str]:
    """Facts of a pin or a rod."""
    diameter = rng.choice(_PINS_MM)
    wood = rng.uniform(340.0, 920.0)
    return {
        "diameter_mm": _bar(installed, diameter),
        "hole_diameter_mm": plain(diameter + rng.choice((2.0, 3.0)), 1.0),
        "length_mm": str(round(wood / 10) * 10 + rng.choice((90, 110, 130))),
        "washers": rng.choice(_WASHERS),
        "nuts": rng.choice(("1", "1", "2")),
        "wood_thickness_mm": str(round(wood / 10) * 10),
        "service_load_kn": plain(rng.uniform(2.5, 6.0), 0.1),
        "material": "steel, grade 4.6" if installed.year < 1995 else "steel, grade 8.8",
        "coating": "none" if installed.year < 1980 else "hot-dip galvanised",
    }


def cable(rng: random.Random, installed: date) -> dict[str, str]:
    """Facts of a steel cable between two parts of a crown."""
    line, grade, diameter, breaking = rng.choice(_STRAND)
    return {
        "line": line,
        "grade": grade,
        "diameter_mm": _bar(installed, diameter),
        "length_mm": _length(rng, installed, rng.uniform(3200.0, 11800.0)),
        "terminations": rng.choice(
            ("eye bolts, wedge grips", "dead-end grips", "clips")
        ),
        "height_mm": _length(rng, installed, rng.uniform(5200.0, 14500.0)),
        "breaking_kn": plain(breaking, 0.1),
        "set_tension_kn": plain(breaking * rng.uniform(0.04, 0.075), 0.1),
    }


def rope(rng: random.Random, installed: date) -> dict[str, str]:
    """Facts of a synthetic rope or sling, with the maker's date eight years on."""
    line, grade, diameter, breaking = rng.choice(_ROPE)
    return {
        "line": line,
        "grade": grade,
        "diameter_mm": plain(diameter, 1.0),
        "length_mm": f"{rng.uniform(3.5, 9.5):.1f} m",
        "terminations": "spliced eyes in slings",
        "height_mm": f"{rng.uniform(6.0, 14.0):.1f} m",
        "breaking_kn": plain(breaking, 0.1),
        "replace_by": months_on(installed, 96).isoformat(),
    }


def guy(rng: random.Random, installed: date) -> dict[str, str]:
    """Facts of a line to the ground."""
    facts = cable(rng, installed)
    return facts | {
        "ground_angle_deg": str(rng.randrange(42, 62)),
        "anchor": rng.choice(_ANCHORS),
        "anchor_depth_mm": str(rng.randrange(900, 2001, 100)),
        "anchor_rod_mm": str(rng.choice((20, 24, 27, 30))),
        "proof_load_kn": plain(float(facts["set_tension_kn"]) * 2.0, 0.5),
    }


def _plate(load_kn: float, soil: str) -> int:
    """Side of a square plate that uses a fifth of what the soil may carry. [mm]"""
    kpa = next((kpa for word, kpa in _BEARING_KPA if soil.startswith(word)), 72.0)
    side = 1000.0 * math.sqrt(load_kn / (_SHARE_OF_SOIL * kpa))
    return max(300, 50 * math.ceil(side / 50.0))


def _post_material(section: str, installed: date) -> str:
    if section == "timber":
        return "oak"
    return "mild steel" if installed.year < 1990 else "S235"


def _post_coating(section: str, installed: date) -> str:
    if section == "timber":
        return "linseed oil"
    if installed.year < 1982:
        return "red lead and oil paint"
    return "hot-dip galvanised, painted"


def _length(rng: random.Random, installed: date, length_mm: float) -> str:
    """A long length, in feet and inches before 1974, later as people liked."""
    if installed.year < _METRIC_SINCE:
        return inches(round(length_mm / 12.7) * 12.7)[0]
    rounded = round(length_mm / 10) * 10
    return rng.choice(
        (str(rounded), f"{rounded / 1000:.2f} m", f"{rounded / 10:.0f} cm")
    )


def _bar(installed: date, diameter_mm: float) -> str:
    if installed.year < _METRIC_SINCE:
        return inches(diameter_mm)[0]
    return plain(diameter_mm, 0.1)
