"""Posts: from facts and readings to what the mechanics wants to know."""

from monitor.errors import MonitorError
from monitor.mechanics.footing import Soil, presumed_kpa
from monitor.mechanics.screw import root_diameter_mm
from monitor.services.margins.case import Case, Findings, Known, Lean, is_known
from monitor.services.margins.lean import lean_of
from monitor.services.margins.load import post_load
from monitor.services.margins.metal import (
    FULL_WALL_SHARE,
    MILL_SPREAD,
    TOO_THICK_SHARE,
    Part,
    metal_of,
)
from monitor.services.margins.steel import refusal, steel_of
from monitor.units import show

HOLLOW = frozenset({"square hollow", "rectangular hollow", "round hollow"})
_OTHER = {
    "timber": "A timber post is not worked out here: it rots, and no law that could be "
    "relied on says how fast. Needed: its sound section at grade, by drilling "
    "resistance; its strength class, EN 338; and an engineer's check by EN 1995-1-1.",
    "solid": "A solid post is not worked out here: the method is for hollow steel. "
    "Needed: an engineer's own check.",
}
_UNKNOWN = (
    "The section of the post is not recorded, and the method is for hollow steel. "
    "Needed: square, rectangular or round hollow, with width and wall."
)
BIT_CONCERNS = ("section", "height", "steel", "load", "lean", "metal", "slender")
"""What each refusal of the mechanics is about, in its order."""

HELD_TO_MM_M = 1000.0 / 150.0
"""A head that has moved further than this is not held, whatever was recorded."""
_SOIL_WORDS = (
    ("mulch", Soil.MULCH), ("topsoil", Soil.TOPSOIL), ("peat", Soil.PEAT),
    ("organic", Soil.ORGANIC), ("mud", Soil.MUD), ("fill", Soil.FILL),
    ("made ground", Soil.FILL), ("rubble", Soil.FILL), ("clay", Soil.CLAY),
    ("silt", Soil.CLAY), ("loam", Soil.CLAY), ("gravel", Soil.GRAVEL),
    ("sand", Soil.SAND), ("granite", Soil.BEDROCK), ("bedrock", Soil.BEDROCK),
    ("limestone", Soil.LAYERED_ROCK), ("sandstone", Soil.LAYERED_ROCK),
    ("shale", Soil.LAYERED_ROCK), ("rock", Soil.LAYERED_ROCK),
)  # fmt: skip
"""Softest first: of two soils named together the softer one decides."""


def post_case(known: Known) -> Case:
    """Put together what is known of one post."""
    found = Findings()
    lean = lean_of(known, found)
    numbers = {
        **_section(known, found),
        **_steel(known, found),
        **_held(known, lean, found),
        **_screw(known, found),
        **_footing(known, found),
        "eccentricity_mm": float("nan"),
    }
    nominal = known.number("wall_mm")
    part = Part(
        "wall", FULL_WALL_SHARE * nominal, MILL_SPREAD * nominal,
        TOO_THICK_SHARE * nominal, "wall", 1.0, at_soil=True,
    )  # fmt: skip
    return Case(
        known,
        numbers,
        metal=metal_of(known, part, found),
        load=post_load(known, found),
        lean=lean,
        inputs=tuple(found.inputs),
        refused=found.refused,
        assumed=tuple(found.assumed),
        missing=tuple(found.missing),
    )


def soil_of(words: str) -> Soil | None:
    """The soil that words name, the softest if they name several; None if none.

    Examples
    --------
    >>> str(soil_of("sandy gravel over fill"))
    'unprepared fill'
    """
    said = words.casefold().strip()
    for soil in Soil:
        if said == soil.value:
            return soil
    return next((soil for word, soil in _SOIL_WORDS if word in said), None)


def _section(known: Known, found: Findings) -> dict[str, float]:
    section = known.word("section")
    width, depth = known.number("width_mm"), known.number("depth_mm")
    wall = known.number("wall_mm")
    if section not in HOLLOW:
        found.refused["section"] = _OTHER.get(section, _UNKNOWN)
        found.refused.setdefault("steel", "")
        found.refused.setdefault("metal", "")
    elif is_known(width) and is_known(wall):
        other = f" × {depth:g}" if section == "rectangular hollow" else ""
        found.recorded(
            "section", f"{section}, {width:g}{other} × {wall:g}\u2009mm",
            f"as built; {FULL_WALL_SHARE:g} of the ordered wall counts until it is "
            "read (AISC 360 B4.2)",
        )  # fmt: skip
    height = known.number("length_mm")
    if is_known(height):
        found.recorded("height", show(height / 1000.0, "m"), "its length as built")
    return {
        "width_mm": width,
        "depth_mm": depth if section == "rectangular hollow" else width,
        "is_round": float(section == "round hollow"),
        "height_mm": height,
    }


def _steel(known: Known, found: Findings) -> dict[str, float]:
    words = known.word("material")
    steel = steel_of(words)
    if steel is None:
        found.refused.setdefault("steel", refusal(words))
        return {"yield_mpa": float("nan")}
    note = found.recorded if steel.is_named else found.taken
    note(
        "steel",
        f"{words}, {show(steel.yield_mpa, 'MPa', digits=0)}",
        f"{steel.source}; from memory",
    )
    return {"yield_mpa": steel.yield_mpa}


def _held(known: Known, lean: Lean, found: Findings) -> dict[str, float]:
    held = known.word("limb_held_sideways")
    if held == "yes" and lean.moved_mm_m > HELD_TO_MM_M:
        found.taken(
            "head of the post", "free to sway",
            f"recorded as held, yet it moved {show(lean.moved_mm_m, 'mm/m')}; beyond "
            "1/150 (EN 1997-1 annex H, by analogy) the hold is not counted on",
        )  # fmt: skip
        return {"is_free": 1.0}
    if held == "yes":
        found.recorded("head of the post", "held sideways by the limb")
    elif held == "no":
        found.recorded("head of the post", "free to sway")
    else:
        found.taken("head of the post", "free to sway", "not recorded; the safe side")
    return {"is_free": float(held != "yes")}


def _screw(known: Known, found: Findings) -> dict[str, float]:
    diameter, pitch = (
        known.number("screw_diameter_mm"),
        known.number("screw_pitch_mm"),
    )
    shown = known.number("screw_extension_mm")
    if not is_known(diameter):
        return {"screw_root_mm": float("nan"), "screw_exposed_mm": float("nan")}
    runs = [run for run in known.runs.get("jack_extension", ()) if run.on]
    root = float(root_diameter_mm(diameter, pitch)) if is_known(pitch) else pitch
    if runs:
        run = max(runs, key=lambda run: run.values[-1])
        shown = run.values[-1]
        found.measured(
            "screw that shows", show(shown, "mm"), f"read on {run.on[-1]:%-d %B %Y}"
        )
    elif is_known(shown):
        found.recorded("screw that shows", show(shown, "mm"), "as set")
    if is_known(root):
        found.taken("root of the screw", show(root, "mm"), "a metric thread, ISO 724")
    return {"screw_root_mm": root, "screw_exposed_mm": shown}


def _footing(known: Known, found: Findings) -> dict[str, float]:
    sides = known.number("plate_length_mm"), known.number("plate_width_mm")
    plate = min(sides) if all(map(is_known, sides)) else max(sides, key=is_known)
    words = known.word("footing_soil") or known.site.soil
    soil = soil_of(words)
    lacking = float("nan")
    if is_known(plate):
        found.recorded("plate", f"{show(plate, 'mm', digits=0)}, its shorter side")
    if soil is None:
        told = f"The soil “{words}” is not in the table" if words else "No soil is told"
        found.missing.append(
            f"{told}, so the footing is not in the number; needed: what lies under "
            "the plate."
        )
        return {"plate_mm": plate, "presumed_kpa": lacking}
    try:
        allowed = presumed_kpa(soil)
    except MonitorError as refused:
        found.missing.append(f"{refused.message} The footing is not in the number.")
        return {"plate_mm": plate, "presumed_kpa": lacking}
    found.recorded(
        "soil", f"{soil}, {show(allowed, 'kPa')}", "presumptive value of IBC 1806.2"
    )
    return {"plate_mm": plate, "presumed_kpa": allowed}
