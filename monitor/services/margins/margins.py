"""How much of its strength each member uses, through the years; screening only.

From the record to cases, from cases to arrays, from arrays through the mechanics to one
answer a member. Whole fleets at once; the answer of a member depends on it alone.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from monitor.domain.standing import MarginWord
from monitor.domain.vocabulary import MemberKind
from monitor.mechanics.cable_margin import Cables, cable_margin
from monitor.mechanics.corrosion import Bound, Metal, exponent
from monitor.mechanics.guard import Array
from monitor.mechanics.lean import STEEP_MM_M
from monitor.mechanics.margin import (
    HORIZON_YEARS,
    Course,
    Margin,
    first_year_over,
    loss_course,
)
from monitor.mechanics.pin_margin import Pins, pin_margin
from monitor.mechanics.post_asd import ASD
from monitor.mechanics.post_ec3 import EC3
from monitor.mechanics.post_margin import post_margin
from monitor.mechanics.posts import Posts
from monitor.mechanics.screening import Z90
from monitor.mechanics.wall import WallPrior, WallReadings, update_wall
from monitor.services.margins.case import Case, Known, Lean, Load
from monitor.services.margins.member_margin import MemberMargin, narrowest
from monitor.services.margins.posts import BIT_CONCERNS, post_case
from monitor.services.margins.ties import (
    CABLE_BITS,
    PIN_BITS,
    cable_case,
    pin_case,
    rod_case,
)

AHEAD_YEARS = HORIZON_YEARS
LEVEL = 0.05
"""The probability of using more than all strength at which the words begin."""
_ROD_METHOD = "AISC 360 J3, rupture of a threaded rod over 2.0, less rust"


def case_of(known: Known) -> Case:
    """Put together what is known of a member, by its kind."""
    return _BY_KIND[known.member.kind][0](known)


def margins_of(cases: Sequence[Case], years: Array) -> list[MemberMargin]:
    """The margins of many members, in their order.

    Parameters
    ----------
    years : from today, rising, 0 among them [y]
    """
    found: dict[int, MemberMargin] = {}
    for kinds in _TOGETHER:
        rows = [n for n, case in enumerate(cases) if case.known.member.kind in kinds]
        if rows:
            chosen = [cases[n] for n in rows]
            found |= dict(zip(rows, _together(chosen, years), strict=True))
    return [found[n] for n in range(len(cases))]


def word_of(margin: MemberMargin) -> MarginWord | None:
    """What a margin has to say to the standing, None where there is none."""
    if margin.refused:
        return None
    now = margin.at(0.0)
    return MarginWord(
        label=margin.case.known.label,
        part=margin.parts[now],
        use=margin.use[now],
        over_today=margin.over_one[now],
        early_on=margin.early_on,
    )


def _together(cases: list[Case], years: Array) -> list[MemberMargin]:
    """Margins of members that the same relations can answer for."""
    kind = cases[0].known.member.kind
    _, relation, bits = _BY_KIND[kind]
    wall, course = _course(cases, years)
    told = [
        _each(cases, margin, bits, (wall, course))
        for margin in relation(cases, wall[:, 0], course)
    ]
    return [narrowest(answers) for answers in zip(*told, strict=True)]


def _each(
    cases: list[Case], margin: Margin, bits: tuple[str, ...], ways: tuple[Array, Course]
) -> list[MemberMargin]:
    """The answers of one method, one a case."""
    wall, course = ways
    early = first_year_over(_from_today(margin), LEVEL)
    return [
        _one(case, margin, (row, bits), (wall[row], course), float(early[row]))
        for row, case in enumerate(cases)
    ]


def _course(cases: list[Case], years: Array) -> tuple[Array, Course]:
    """What is left of the metal and the course of everything, one row a case.

    The first column of what is left is the metal as new.
    """
    metals = [case.metal for case in cases]
    most = max([1, *(len(metal.on_years) for metal in metals)])
    has_metal = np.array([np.isfinite([m.new_mm, m.rate_um]).all() for m in metals])

    def column(name: str, instead: float) -> Array:
        values = np.array([getattr(metal, name) for metal in metals], dtype=np.float64)
        return np.where(has_metal, values, instead)

    def padded(name: str, instead: float) -> Array:
        out = np.full((len(metals), most), instead)
        for row, metal in enumerate(metals):
            values = getattr(metal, name)
            out[row, : len(values)] = values
        return out

    bare = column("bare_years", 0.0)
    steel = exponent(Metal.STEEL, Bound.MEAN)
    prior = WallPrior(
        column("new_mm", 5.0),
        np.maximum(column("new_sd_mm", 1.0), 1e-6),
        column("rate_um", 1.0),
        column("rate_sd_um", 1.0),
        np.full(len(metals), steel),
    )
    on = np.maximum(bare[:, np.newaxis] + padded("on_years", np.nan), 0.0)
    readings = WallReadings(on, padded("read_mm", np.nan), padded("noise_mm", 1.0))
    state = update_wall(prior, readings)
    new = np.asarray(state.wall_mm)
    loss, loss_sd = loss_course(state, bare, new, years)
    loss = loss + np.array([[metal.gone_mm] for metal in metals]) * (years >= 0.0)
    loss[~has_metal] = np.nan
    left = np.column_stack((new, np.maximum(new[:, np.newaxis] - loss, 0.0)))
    load = np.array([load_n(case.load, years) for case in cases])
    lean = np.array([lean_mm_m(case.lean, years) for case in cases])
    log_sd = np.array([case.load.log_sd for case in cases])
    course = Course(years, loss, loss_sd, load, log_sd, lean[:, 0], lean[:, 1])
    return left, course


def load_n(load: Load, years: Array) -> Array:
    """The load in each year: a limb grows with the square of its diameter. [N]"""
    thicker = 1.0 + load.gain_mm_year * years / load.diameter_mm
    return load.now_n * np.maximum(thicker, 0.1) ** 2 + load.rise_n_year * np.maximum(
        years, 0.0
    )


def lean_mm_m(lean: Lean, years: Array) -> Array:
    """The lean in each year and its spread: as read in the past, then going on."""
    on = np.maximum(years, 0.0)
    most = max(STEEP_MM_M, lean.now_mm_m)  # further out there is no answer to tell
    middle = np.maximum(lean.now_mm_m + lean.pace_mm_m * on, 0.0)
    spread = np.hypot(lean.now_sd_mm_m, lean.pace_sd_mm_m * on)
    least = np.clip(middle - Z90 * spread, 0.0, most)
    spread = np.where(middle > most, (most - least) / Z90, spread)
    ahead, spread = np.minimum(middle, most), np.minimum(spread, STEEP_MM_M)
    if lean.seen:
        when, seen = np.array([*lean.seen, (0.0, lean.now_mm_m)]).T
        ahead = np.where(years < 0.0, np.interp(years, when, seen), ahead)
    return np.array((ahead, spread))


def _posts(cases: list[Case], new_mm: Array, course: Course) -> tuple[Margin, ...]:
    """Posts by each of two methods, never mixed in one number."""

    def column(name: str) -> Array:
        return _numbers(cases, name)

    posts = Posts(
        column("width_mm"),
        column("depth_mm"),
        np.where(np.isnan(course.loss_mm[:, 0]), np.nan, new_mm),
        column("is_round") > 0.0,
        column("height_mm"),
        column("yield_mpa"),
        column("is_free") > 0.0,
        column("eccentricity_mm"),
        column("screw_root_mm"),
        column("screw_exposed_mm"),
        column("plate_mm"),
        column("presumed_kpa"),
    )
    return tuple(post_margin(posts, course, code) for code in (ASD, EC3))


def _cables(cases: list[Case], _: Array, course: Course) -> tuple[Margin, ...]:
    names = ("breaking_n", "working_factor", "wire_mm", "whole_share", "anchor_n")
    cables = Cables(*(_numbers(cases, name) for name in names))
    return (cable_margin(cables, course),)


def _rods(cases: list[Case], new_mm: Array, course: Course) -> tuple[Margin, ...]:
    """A rod is a strand of one wire; only its words differ."""
    (margin,) = _cables(cases, new_mm, course)
    rod = replace(
        margin,
        method=_ROD_METHOD,
        assumed=("Metal is lost evenly, all round.",),
        missing=(),
        parts=("rod", "anchor"),
    )
    return (rod,)


def _pins(cases: list[Case], _: Array, course: Course) -> tuple[Margin, ...]:
    names = (
        "diameter_mm", "sound_mm", "side_mm", "gravity", "angle_deg", "tensile_mpa",
        "bending_mpa",
    )  # fmt: skip
    pins = Pins(*(_numbers(cases, name) for name in names))
    return (pin_margin(pins, course),)


def _numbers(cases: list[Case], name: str) -> Array:
    return np.array([case.numbers.get(name, np.nan) for case in cases])


def _from_today(margin: Margin) -> Margin:
    """The same margin without its past."""
    ahead = margin.years >= 0.0
    return replace(
        margin, years=margin.years[ahead], over_one=margin.over_one[:, ahead]
    )


def _one(
    case: Case,
    margin: Margin,
    place: tuple[int, tuple[str, ...]],
    ways: tuple[Array, Course],
    early: float,
) -> MemberMargin:
    row, bits = place
    left, course = ways
    refused = _refusals(case, margin, row, bits)

    def numbers(values: Array) -> tuple[float, ...]:
        return () if refused else tuple(values.tolist())

    parts = () if refused else tuple(margin.parts[n] for n in margin.governs[row])
    return MemberMargin(
        case=case,
        years=tuple(margin.years.tolist()),
        use=numbers(margin.use[row]),
        low=numbers(margin.low[row]),
        high=numbers(margin.high[row]),
        over_one=numbers(margin.over_one[row]),
        parts=parts,
        judged=margin.parts,
        wall_mm=numbers(left[1:]),
        load_kn=numbers(course.load_n[row] / 1000.0),
        lean_mm_m=numbers(course.tilt_mm_m[row]),
        early_years=early,
        method=margin.method,
        assumed=case.assumed + margin.assumed,
        missing=_missing(case, margin),
        refused=refused,
    )


def _missing(case: Case, margin: Margin) -> tuple[str, ...]:
    """What would sharpen this answer; the mechanics speaks of the whole fleet."""
    numbers = case.numbers
    spoken = list(case.missing)
    if "anchor_n" in numbers and case.known.member.kind is not MemberKind.ROD:
        spoken += [text for text in margin.missing if "anchors" in text]
    if "eccentricity_mm" in numbers:
        spoken += [text for text in margin.missing if "Eccentricity" in text]
        if np.isnan(numbers["plate_mm"]):
            spoken.append(
                "The plate is not recorded; the footing is not in the number."
            )
        root, shown = numbers["screw_root_mm"], numbers["screw_exposed_mm"]
        if np.isnan(root) != np.isnan(shown):
            spoken += [text for text in margin.missing if "screw" in text]
    return tuple(spoken)


def _refusals(
    case: Case, margin: Margin, row: int, bits: tuple[str, ...]
) -> tuple[str, ...]:
    """Own words first; those of the mechanics for what has no words yet."""
    failed = int(margin.refused[row])
    found = [text for text in case.refused.values() if text]
    if "line" in case.refused:
        return tuple(found)
    found += [
        text
        for n, text in enumerate(margin.refusals)
        if failed >> n & 1 and bits[n] not in case.refused
    ]
    return tuple(found)


Relation = Callable[[list[Case], Array, Course], tuple[Margin, ...]]
_BY_KIND: dict[
    MemberKind, tuple[Callable[[Known], Case], Relation, tuple[str, ...]]
] = {
    MemberKind.POST: (post_case, _posts, BIT_CONCERNS),
    MemberKind.CABLE: (cable_case, _cables, CABLE_BITS),
    MemberKind.GUY: (cable_case, _cables, CABLE_BITS),
    MemberKind.ROD: (rod_case, _rods, CABLE_BITS),
    MemberKind.PIN: (pin_case, _pins, PIN_BITS),
}
_TOGETHER = (
    {MemberKind.POST},
    {MemberKind.CABLE, MemberKind.GUY},
    {MemberKind.ROD},
    {MemberKind.PIN},
)
