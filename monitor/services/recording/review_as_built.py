"""The as-built review of one member: from its facts to what a foreman looks at.

It is worked out whenever it is asked for and never blocks the record.
"""

import re

from monitor.domain.vocabulary import MemberKind
from monitor.errors import MonitorError
from monitor.mechanics.as_built import AsBuilt, Part
from monitor.mechanics.guard import positive
from monitor.mechanics.lean import Restraint
from monitor.mechanics.review import Review, review
from monitor.mechanics.sections import (
    RoundTube,
    aisc_box,
    box_section,
    design_wall_mm,
    round_section,
)
from monitor.services.margins.case import Findings, Known, is_known
from monitor.services.margins.load import growth_of
from monitor.services.margins.posts import HOLLOW, soil_of
from monitor.units import show

_HELD = {"yes": Restraint.HELD, "no": Restraint.FREE}


def review_of(known: Known) -> Review:
    """The lines of the review for the parts that a member has."""
    if known.member.kind is MemberKind.POST:
        return review(_post(known))
    if known.member.kind in {MemberKind.PIN, MemberKind.ROD}:
        return review(_pin(known))
    return review(AsBuilt(frozenset()))


def _post(known: Known) -> AsBuilt:
    parts = {Part.POST, Part.PLATE, Part.SADDLE}
    if is_known(known.number("screw_diameter_mm")):
        parts.add(Part.SCREW)
    words = known.word("footing_soil") or known.site.soil
    return AsBuilt(
        frozenset(parts),
        length_mm=_number(known, "length_mm"),
        radius_mm=_radius_mm(known),
        restraint=_HELD.get(known.word("limb_held_sideways")),
        tilt_mm_m=_first_lean(known),
        coating=_coating(known),
        plate_below_mulch_mm=_number(known, "footing_depth_mm"),
        soil=soil_of(words),
        materials=_materials(words),
        screw_length_mm=_number(known, "screw_length_mm"),
        screw_exposed_mm=_number(known, "screw_extension_mm"),
        saddle_clearance_mm=_number(known, "saddle_clearance_mm"),
        radial_mm_year=_radial(known),
        preload=_preload(known),
    )


def _pin(known: Known) -> AsBuilt:
    nuts = _number(known, "nuts")
    return AsBuilt(
        frozenset({Part.PIN}),
        pin_mm=_number(known, "diameter_mm"),
        hole_mm=_number(known, "hole_diameter_mm"),
        nuts_per_end=None if nuts is None else round(nuts),
    )


def _number(known: Known, name: str) -> float | None:
    value = known.number(name)
    return value if is_known(value) else None


def _radius_mm(known: Known) -> float | None:
    """Least radius of gyration of a hollow post as new, None for any other. [mm]"""
    section, width = known.word("section"), known.number("width_mm")
    if section not in HOLLOW:
        return None
    try:
        wall = design_wall_mm(known.number("wall_mm"))
        if section == "round hollow":
            return float(round_section(RoundTube(width, wall)).radius_mm)
        is_square = section == "square hollow"
        depth = width if is_square else known.number("depth_mm")
        positive("depth", depth, "mm")
        return float(box_section(aisc_box(width, depth, wall)).radius_mm)
    except MonitorError:
        return None


def _first_lean(known: Known) -> float | None:
    """The lean of the first reading since the post was set or set anew. [mm/m]"""
    first = [
        (run.on[0], (run.values[0] ** 2 + run.values_y[0] ** 2) ** 0.5)
        for run in known.runs.get("tilt", ())
        if run.on
    ]
    return round(min(first)[1], 2) if first else None


def _coating(known: Known) -> str | None:
    """The coating as recorded; “none” is bare steel."""
    word = known.word("coating")
    if not word:
        return None
    return "" if word.casefold() in {"none", "bare", "bare steel"} else word


def _materials(words: str) -> tuple[str, ...]:
    """Every material that words name as lying under parts of the plate.

    Examples
    --------
    >>> _materials("partly gravel, partly paving")
    ('gravel', 'paving')
    """
    if not words.strip():
        return ()
    if soil_of(words) is not None and "part" not in words.casefold():
        return (words.strip(),)
    split = re.split(r"\bpartly\b|\bpart\b|\band\b|[,;/]", words.casefold())
    return tuple(piece.strip(" on") for piece in split if piece.strip())


def _radial(known: Known) -> float | None:
    """Measured or usual radial growth of the limb. [mm/y]"""
    diameter, gain = growth_of(known, Findings())
    return gain / 2.0 if is_known(diameter) else None


def _preload(known: Known) -> str | None:
    load = known.number("set_load_kn")
    return show(load, "kN", digits=1) if is_known(load) else None
