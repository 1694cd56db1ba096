"""What is read on each kind of member, standing still unless it is bent later."""

import random
from dataclasses import replace
from datetime import date

from demo_data.book import Member
from demo_data.courses import Course
from demo_data.rounds import Series, months_on
from demo_data.typing_habits import (
    BARK_CALLIPER,
    CALLIPER,
    COATING,
    DIGITAL,
    FEELER,
    FINE_LEVEL,
    FRAME,
    LEVEL,
    METER,
    MID_SPAN,
    PHOTO,
    PLUMB,
    RULE,
    SPARE_TAPE,
    STEEL_CALLIPER,
    TAPE,
    ULTRASONIC,
    WATER,
    WIRE_CALLIPER,
    Gauge,
    millimetres,
)

Gauges = tuple[tuple[int, Gauge], ...]

_WALL_SINCE = 1983
_ON_CLAY = "clay, sandy or silty clay, silt"


def post(
    rng: random.Random, member: Member, *, has_screw: bool = False
) -> list[Series]:
    """Lean, level, gap and metal of a post."""
    on, facts = member.installed, member.facts
    tilt: Gauges = ((0, PLUMB), (1992, rng.choice((PLUMB, FRAME, FRAME, DIGITAL))))
    level: Gauges = ((0, rng.choice((LEVEL, LEVEL, WATER))), (2006, FINE_LEVEL))
    season = rng.uniform(0.3, 0.9) if facts.get("footing_soil") == _ON_CLAY else 0.0
    sunk = Course(on, rng.gauss(0.0, 0.5), bedding=rng.uniform(0.1, 0.7), season=season)
    series = [
        _on(member, "face", "tilt_x", tilt, Course(on, rng.gauss(0.0, 1.6))),
        _on(member, "face", "tilt_y", tilt, Course(on, rng.gauss(0.0, 1.6))),
        _on(member, "plate", "settlement", level, sunk),
        _on(member, "saddle", "gap", ((0, FEELER),), Course(on, 0.0, floor=0.0)),
    ]  # fmt: skip
    if facts.get("wall_mm"):
        series += _metal(rng, member)
    if rng.random() < 0.3:
        height = rng.uniform(2400.0, 5200.0)
        series.append(
            _on(
                member, "limb", "limb_height", ((0, TAPE),), Course(on, height), every=2
            )
        )
    if has_screw:
        series += _screw(member)
    return series


def through(rng: random.Random, member: Member) -> list[Series]:
    """The wound, the wood and the nut at a pin or a rod."""
    on = member.installed
    width = rng.uniform(26.0, 62.0)
    years = rng.choice((5.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0))
    closed_on = months_on(on, round(12.0 * 4.0 * years))
    gauge: Gauges = ((0, BARK_CALLIPER), (2008, rng.choice((BARK_CALLIPER, PHOTO))))
    wound = Course(on, width, floor=0.0, closing_years=years)
    series = [
        replace(_on(member, "wound", "wound_width", gauge, wound), until=closed_on)
    ]
    if rng.random() < 0.4:
        tall = Course(on, width * 1.3, floor=0.0, closing_years=1.1 * years)
        series.append(
            replace(_on(member, "wound", "wound_height", gauge, tall), until=closed_on)
        )
    has_nut = rng.random() < 0.35
    if not has_nut or member.kind == "rod":
        crack = Course(on, rng.uniform(0.3, 3.2), season=0.04)
        series.append(_on(member, "union", "crack_width", ((0, CALLIPER),), crack))
    if has_nut:
        nut = Course(on, rng.uniform(32.0, 58.0), rate=-0.02)
        series.append(_on(member, "nut", "projection", ((0, BARK_CALLIPER),), nut))
    return series


def cable(rng: random.Random, member: Member) -> list[Series]:
    """Pull or sag of a steel cable, its wires, and the crack it guards."""
    on, facts = member.installed, member.facts
    set_kn = float(facts["set_tension_kn"])
    if on.year >= 1982 and rng.random() < 0.6:
        pull = Course(on, set_kn, rate=-0.0006 * set_kn, season=-0.02 * set_kn)
        series = [_on(member, "line", "tension", ((0, METER),), pull)]
    else:
        sag = Course(on, rng.uniform(40.0, 160.0), season=4.0)
        series = [_on(member, "line", "sag", ((0, MID_SPAN),), sag)]
    diameter = millimetres(facts["diameter_mm"])
    series.append(
        _on(
            member, "line", "strand_diameter", ((0, WIRE_CALLIPER),),
            Course(on, diameter, rate=-0.0003), every=2,
        )
    )  # fmt: skip
    if rng.random() < 0.6:
        crack = Course(on, rng.uniform(0.2, 2.6), season=0.03)
        series.append(_on(member, "union", "crack_width", ((0, CALLIPER),), crack))
    return series


def sling(rng: random.Random, member: Member) -> list[Series]:
    """Spare length of a sling about a growing limb, and the limb."""
    on = member.installed
    radial_mm = rng.uniform(0.15, 0.4)
    spare = Course(on, rng.uniform(170.0, 260.0), rate=-6.283 * radial_mm, floor=0.0)
    limb = Course(on, rng.uniform(240.0, 460.0), rate=2.0 * radial_mm)
    return [
        _on(member, "sling", "slack", ((0, SPARE_TAPE),), spare),
        _on(member, "limb", "limb_diameter", ((0, TAPE),), limb, every=2),
    ]


def guy(rng: random.Random, member: Member) -> list[Series]:
    """Pull of a guy, and the rod where it leaves the soil."""
    on, facts = member.installed, member.facts
    set_kn = float(facts["set_tension_kn"])
    pull = Course(on, set_kn, season=-0.02 * set_kn)
    rod = Course(on, float(facts["anchor_rod_mm"]) - 0.1, rate=-0.002)
    return [
        _on(member, "line", "tension", ((0, METER),), pull),
        _on(member, "soil line", "rod_diameter", ((0, STEEL_CALLIPER),), rod, every=3),
    ]


def _metal(rng: random.Random, member: Member) -> list[Series]:
    on, facts = member.installed, member.facts
    since = max(on, date(_WALL_SINCE, 1, 1))
    wall = Course(since, float(facts["wall_mm"]) + rng.gauss(0.0, 0.08), rate=-0.0012)
    paint = Course(since, float(facts["coating_um"]), rate=-0.05)
    series = [
        _on(member, "at grade", "wall", ((0, ULTRASONIC),), wall, every=3),
        _on(member, "at grade", "coating", ((0, COATING),), paint, every=4),
    ]
    if rng.random() < 0.25:
        above = replace(wall, start=wall.start + 0.05, rate=0.0)
        series.append(
            _on(
                member, "100 mm above grade", "wall", ((0, ULTRASONIC),), above, every=6
            )
        )
    return series


def _screw(member: Member) -> list[Series]:
    on, facts = member.installed, member.facts
    out = float(facts["screw_extension_mm"])
    held = float(facts["screw_length_mm"]) - out
    gauge = ((0, RULE),)
    return [
        _on(member, "screw", "jack_extension", gauge, Course(on, out)),
        _on(member, "screw", "jack_engagement", gauge, Course(on, held)),
    ]


def _on(  # noqa: PLR0913 - one line for each series, read as a table
    member: Member,
    mark: str,
    quantity: str,
    gauges: Gauges,
    course: Course,
    *,
    every: int = 1,
) -> Series:
    return Series(member.code, mark, quantity, (course,), gauges, every)
