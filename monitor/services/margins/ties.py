"""Cables, guys, rods and pins: from facts and readings to what the mechanics wants."""

from datetime import date

from monitor.domain.vocabulary import MemberKind
from monitor.errors import MonitorError
from monitor.mechanics.cables import GUY_FACTOR, NEWTON_PER_LBF, ROPE_FACTOR, STRANDS
from monitor.mechanics.gravity import SHRINKAGE, gravity_of
from monitor.mechanics.pins import OMEGA_THREAD, rod_rupture_n
from monitor.mechanics.species import oven_dry_gravity
from monitor.mechanics.synthetic import ServiceLife, service_life
from monitor.services.margins.case import NAN, Case, Findings, Known, Metal, is_known
from monitor.services.margins.load import through_load, tie_load
from monitor.services.margins.metal import Part, metal_of
from monitor.services.margins.steel import refusal, steel_of
from monitor.units import show

CABLE_BITS = ("strength", "wire", "wires", "load", "metal")
PIN_BITS = ("size", "wood", "gravity", "angle", "steel", "load", "metal")
"""What each refusal of the mechanics is about, in its order."""

_SAME_SIZE_MM = 0.4
_WIRE_SHARE = 1.0 / 3.0
_AS_BUILT_SPREAD = 0.01


def cable_case(known: Known) -> Case:
    """Put together what is known of one cable or guy."""
    found = Findings()
    if known.word("line") == "synthetic rope":
        found.refused["line"] = _by_its_life(known)
        return _case(known, {}, found)
    diameter = known.number("diameter_mm")
    is_guy = known.member.kind is MemberKind.GUY
    factor = GUY_FACTOR if is_guy else ROPE_FACTOR
    if is_known(diameter):
        found.recorded("diameter", show(diameter, "mm"))
        what = "strand of the rope" if known.word("line") == "wire rope" else "wire"
        wire = show(_WIRE_SHARE * diameter, "mm")
        found.taken(f"one {what}", wire, "a third of the whole, by its geometry")
    found.taken(
        "working factor", f"{factor:g}",
        "Alberta OHS code for guys" if is_guy else "WAC 296-24-29401",
    )  # fmt: skip
    found.taken("whole wires", "all", "no count of broken wires is recorded")
    numbers = {
        "breaking_n": _breaking_n(known, diameter, found),
        "working_factor": factor,
        "wire_mm": _WIRE_SHARE * diameter,
        "whole_share": 1.0,
        "anchor_n": NAN,
    }
    metal = metal_of(known, _round("strand", "strand_diameter", diameter), found)
    return _case(known, numbers, found, metal)


def rod_case(known: Known) -> Case:
    """Put together what is known of one rod, pulled along its length."""
    found = Findings()
    diameter = known.number("diameter_mm")
    steel = steel_of(known.word("material"))
    breaking = NAN
    if steel is None:
        found.refused["strength"] = refusal(known.word("material"))
    elif is_known(diameter):
        found.recorded("diameter", show(diameter, "mm"))
        tensile = show(steel.tensile_mpa, "MPa", digits=0)
        words = f"{known.word('material')}, {tensile} tensile"
        found.recorded("steel", words, f"{steel.source}; from memory")
        breaking = float(rod_rupture_n(diameter, steel.tensile_mpa))
    found.assumed.append("The rod pulls straight; wood under its washers is not in it.")
    numbers = {
        "breaking_n": breaking,
        "working_factor": OMEGA_THREAD,
        "wire_mm": diameter,
        "whole_share": 1.0,
        "anchor_n": NAN,
    }
    metal = metal_of(known, _round("rod", "rod_diameter", diameter), found)
    return _case(known, numbers, found, metal)


def pin_case(known: Known) -> Case:
    """Put together what is known of one pin through a limb."""
    found = Findings()
    diameter = known.number("diameter_mm")
    steel = steel_of(known.word("material"))
    if steel is None:
        found.refused["steel"] = refusal(known.word("material"))
    else:
        found.recorded("steel", known.word("material"), f"{steel.source}; from memory")
    for label, name in (
        ("diameter", "diameter_mm"),
        ("sound wood", "wood_thickness_mm"),
        ("steel on each side", "side_mm"),
    ):
        if is_known(known.number(name)):
            found.recorded(label, show(known.number(name), "mm"))
    numbers = {
        "diameter_mm": diameter,
        "sound_mm": known.number("wood_thickness_mm"),
        "side_mm": known.number("side_mm"),
        "gravity": _gravity(known, found),
        "angle_deg": _angle(known, found),
        "tensile_mpa": steel.tensile_mpa if steel else NAN,
        "bending_mpa": steel.yield_mpa if steel else NAN,
    }
    metal = metal_of(known, _round("pin", "rod_diameter", diameter), found)
    return _case(known, numbers, found, metal)


def _case(
    known: Known, numbers: dict[str, float], found: Findings, metal: Metal | None = None
) -> Case:
    is_through = known.member.kind in {MemberKind.PIN, MemberKind.ROD}
    if metal is None:
        return Case(known, numbers, inputs=tuple(found.inputs), refused=found.refused)
    load = through_load(known, found) if is_through else tie_load(known, found)
    return Case(
        known,
        numbers,
        metal=metal,
        load=load,
        inputs=tuple(found.inputs),
        refused=found.refused,
        assumed=tuple(found.assumed),
        missing=tuple(found.missing),
    )


def _round(what: str, series: str, diameter: float) -> Part:
    """Something round: what is read is its diameter, what counts its radius."""
    radius = diameter / 2.0
    return Part(
        what, radius, _AS_BUILT_SPREAD * radius, 1.03 * radius, series, 0.5,
        at_soil=False,
    )  # fmt: skip


def _breaking_n(known: Known, diameter: float, found: Findings) -> float:
    recorded = 1000.0 * known.number("breaking_kn")
    if is_known(recorded):
        found.recorded("breaking strength", show(recorded / 1000.0, "kN"))
        return recorded
    grade = known.word("grade").casefold()
    for size, strand in STRANDS.items():
        for place, name in reversed(tuple(enumerate(_GRADES))):  # the longest first
            if name in grade and abs(strand.diameter_mm - diameter) < _SAME_SIZE_MM:
                breaking = strand.breaking_lbf[place] * NEWTON_PER_LBF
                found.taken(
                    "breaking strength", show(breaking / 1000.0, "kN"),
                    f"{size} in, {name}; {strand.source}",
                )  # fmt: skip
                return breaking
    found.refused["strength"] = (
        "Breaking strength is not known; needed: the strength, or size and grade of "
        f"an ASTM A475 strand ({', '.join(_GRADES)})."
    )
    return NAN


_GRADES = ("common", "siemens-martin", "high strength", "extra high strength")


def _gravity(known: Known, found: Findings) -> float:
    species = known.tree.species or "an unnamed species"
    published = gravity_of(known.tree.species)
    if published is None:
        found.refused["gravity"] = (
            f"No published gravity of green wood was found for {species}; needed: its "
            "oven-dry mass over green volume from a core, for an engineer's own check."
        )
        return NAN
    gravity = float(oven_dry_gravity(published.basic, SHRINKAGE))
    found.taken(
        "gravity of the wood", f"{gravity:.2f}, oven dry",
        f"{published.basic:g} green, {published.source}; shrinkage {SHRINKAGE:g}",
    )  # fmt: skip
    return gravity


def _by_its_life(known: Known) -> str:
    """Why a synthetic line gets no margin, and how long it serves."""
    maker = known.word("replace_by")
    try:
        maker_end_on = date.fromisoformat(maker) if maker else None
        life: ServiceLife = service_life(known.member.installed_on, maker_end_on)
    except (ValueError, MonitorError):
        return (
            f"A synthetic line is judged by its service life, and its date “{maker}” "
            "can not be used; needed: the maker's date of replacement."
        )
    ends = f"{life.ends_on.day} {life.ends_on:%B %Y}"
    return (
        "A synthetic line does not rust and is judged by its service life, not by a "
        f"margin: it serves until {ends} ({life.reason}). For a margin there would be "
        "needed: the pull it takes in a storm and what is left of its strength, by a "
        "test of a piece."
    )


def _angle(known: Known, found: Findings) -> float:
    angle = known.number("load_angle_deg")
    if is_known(angle):
        found.recorded("angle of load to grain", show(angle, "deg"))
        return angle
    found.taken("angle of load to grain", show(90.0, "deg"), "the weak side")
    return 90.0
