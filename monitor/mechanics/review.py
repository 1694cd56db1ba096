"""What a careful foreman looks at when a support is entered; nothing here blocks it.

Every line says what, how it stands, why, and by whose word.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.as_built import AsBuilt, Part
from monitor.mechanics.coating import galvanising_minimum_um
from monitor.mechanics.columns_aisc import ADVISED_SLENDERNESS
from monitor.mechanics.footing import Soil, uneven_ground
from monitor.mechanics.guard import positive
from monitor.mechanics.lean import AS_BUILT_PLUMB_MM_M, length_factor, restraint_of
from monitor.mechanics.screening import Screening
from monitor.mechanics.screw import least_overlap_mm, overlap_left_mm

METHOD = "as-built review"
FEW_YEARS = 5.0
ON_SIZE_MM = 1.0
WIDEST_HOLE_MM = 3.2
_CUSTOM = "common practice, no source"
_SOFT = frozenset(
    {Soil.TOPSOIL, Soil.MULCH, Soil.ORGANIC, Soil.PEAT, Soil.MUD, Soil.FILL}
)


class Standing(StrEnum):
    """How a line stands."""

    IN_ORDER = "in order"
    LOOK_AGAIN = "look again"
    NOT_RECORDED = "not recorded"


Found = tuple[Standing, str, str]
Look = Callable[[AsBuilt], Found]


@dataclass(frozen=True, slots=True)
class Line:
    """One thing looked at."""

    what: str
    standing: Standing
    reason: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Review(Screening):
    """All lines, in the order a foreman walks: from the ground up, then the pin."""

    lines: tuple[Line, ...]


def review(built: AsBuilt) -> Review:
    """Return the lines of an as-built review for the parts a support has."""
    lines = tuple(
        _looked(what, look, built)
        for part, looks in _LOOKS.items()
        if part in built.parts
        for what, look in looks.items()
    )
    missing = tuple(
        f"{line.what}: {line.reason}"
        for line in lines
        if line.standing is Standing.NOT_RECORDED
    )
    return Review(method=METHOD, missing=missing, lines=lines)


def _looked(what: str, look: Look, built: AsBuilt) -> Line:
    """Return a line; an impossible number becomes a line too, never a refusal."""
    try:
        standing, reason, source = look(built)
    except (InvalidInput, InsufficientData) as impossible:
        return Line(what, Standing.LOOK_AGAIN, str(impossible), "as typed")
    return Line(what, standing, reason, source)


def _depth(built: AsBuilt) -> Found:
    depth = built.plate_below_mulch_mm
    if depth is None:
        return _unrecorded("depth below the foot of the mulch", _CUSTOM)
    if depth >= 0.0:
        return _fine(f"{depth:g} mm below the mulch.", _CUSTOM)
    return _again("Mulch rots away and gives; set it on firm soil below.", _CUSTOM)


def _ground(built: AsBuilt) -> Found:
    source = "IBC table 1806.2, as reproduced"
    if built.soil is None:
        return _unrecorded("what the plate lies on", source)
    if built.soil in _SOFT:
        return _again(f"No code presumes a value for {built.soil}.", source)
    return _fine(f"The plate lies on {built.soil}.", source)


def _even(built: AsBuilt) -> Found:
    if not built.materials:
        return _unrecorded("every material under the plate", _CUSTOM)
    warning = uneven_ground(built.materials)
    if warning:
        return _again(warning, _CUSTOM)
    return _fine(f"All of it on {built.materials[0]}.", _CUSTOM)


def _slender(built: AsBuilt) -> Found:
    source = "AISC 360 E2 user note, from memory"
    if built.length_mm is None or built.radius_mm is None:
        return _unrecorded("length and section", source)
    length = float(positive("length", built.length_mm, "mm"))
    radius = float(positive("radius of gyration", built.radius_mm, "mm"))
    found = length_factor(restraint_of(built.restraint)) * length / radius
    told = "" if built.restraint else " (free to sway; how it is held is not recorded)"
    text = f"KL/r is {found:.0f}{told}; up to {ADVISED_SLENDERNESS:.0f} is advised."
    return _judged(text, source, found <= ADVISED_SLENDERNESS)


def _plumb(built: AsBuilt) -> Found:
    source = "AISC 303 7.13.1.1 (1/500), as reproduced"
    if built.tilt_mm_m is None:
        return _unrecorded("tilt on the day it was set", source)
    tilt = abs(built.tilt_mm_m)
    text = f"{tilt:g} mm/m out of plumb, {AS_BUILT_PLUMB_MM_M:g} is allowed"
    good = tilt <= AS_BUILT_PLUMB_MM_M
    return _judged(text + ("." if good else ", unless raked."), source, good)


def _coated(built: AsBuilt) -> Found:
    source = "ISO 1461 table 3, as reproduced"
    if built.coating is None:
        return _unrecorded("which coating, or bare steel", _CUSTOM)
    if not built.coating.strip():
        return _again("Bare steel rusts from the first day.", _CUSTOM)
    if built.zinc_um is None or built.steel_mm is None:
        return _fine(f"{built.coating}; thickness not measured.", _CUSTOM)
    least = galvanising_minimum_um(built.steel_mm)[0]
    text = f"{built.zinc_um:g} um of zinc; {least:g} um is the least at one spot."
    return _judged(text, source, built.zinc_um >= least)


def _overlap(built: AsBuilt) -> Found:
    source = "EN 12811-1 for scaffold jacks, from memory"
    if built.screw_length_mm is None or built.screw_exposed_mm is None:
        return _unrecorded("length of the screw and how much shows", source)
    left = float(overlap_left_mm(built.screw_length_mm, built.screw_exposed_mm))
    least = float(least_overlap_mm(built.screw_length_mm))
    text = f"{left:g} mm of the screw is inside; {least:g} mm is the least."
    return _judged(text, source, left >= least)


def _clearance(built: AsBuilt) -> Found:
    room = built.saddle_clearance_mm
    if room is None:
        return _unrecorded("clearance of the saddle", _CUSTOM)
    if not built.radial_mm_year:
        text = f"{room:g} mm of room; growth is not known."
        return _judged(text, _CUSTOM, room > 0.0)
    years = room / built.radial_mm_year
    text = f"Growth fills the room in {years:.0f} years."
    return _judged(text, _CUSTOM, years >= FEW_YEARS)


def _preload(built: AsBuilt) -> Found:
    if built.preload is None or not built.preload.strip():
        return _unrecorded("turns, lift or force at setting", _CUSTOM)
    return _fine(f"Noted: {built.preload.strip()}.", _CUSTOM)


def _hole(built: AsBuilt) -> Found:
    source = "ANSI A300 (1/8 in), secondary source"
    if built.pin_mm is None or built.hole_mm is None:
        return _unrecorded("diameters of pin and drill", source)
    pin = float(positive("pin", built.pin_mm, "mm"))
    wider = float(positive("hole", built.hole_mm, "mm")) - pin
    text = f"The hole is {wider:+.1f} mm on the pin; at most {WIDEST_HOLE_MM:g} wider."
    if wider < -ON_SIZE_MM:
        text += " A hole well below the pin is a slip of the pen."
    return _judged(text, source, abs(wider) <= ON_SIZE_MM)


def _nuts(built: AsBuilt) -> Found:
    if built.nuts_per_end is None:
        return _unrecorded("nuts on each end", _CUSTOM)
    text = (
        f"{built.nuts_per_end} on each end; a second one keeps the first from turning."
    )
    return _judged(text, _CUSTOM, built.nuts_per_end >= 2)


def _judged(reason: str, source: str, good: bool) -> Found:
    return _fine(reason, source) if good else _again(reason, source)


def _fine(reason: str, source: str) -> Found:
    return Standing.IN_ORDER, reason, source


def _again(reason: str, source: str) -> Found:
    return Standing.LOOK_AGAIN, reason, source


def _unrecorded(needed: str, source: str) -> Found:
    return Standing.NOT_RECORDED, f"Needed: {needed}.", source


_LOOKS: MappingProxyType[Part, dict[str, Look]] = MappingProxyType(
    {
        Part.PLATE: {
            "plate below the mulch": _depth,
            "firm soil under the plate": _ground,
            "one material under the whole plate": _even,
        },
        Part.POST: {"slenderness": _slender, "plumb": _plumb, "coating": _coated},
        Part.SCREW: {"screw overlap": _overlap},
        Part.SADDLE: {
            "room for growth in the saddle": _clearance,
            "pre-load": _preload,
        },
        Part.PIN: {"hole on size with the pin": _hole, "nuts doubled": _nuts},
    }
)
