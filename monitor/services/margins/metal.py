"""How metal goes on one member: what the air does, and what the gauge says of it.

Before any reading the steel goes as ISO 9223 and ISO 9224 say for the air of the site;
at the soil line one category worse. Each thickness reading updates wall and rate.
"""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import hypot
from typing import TypeVar

from monitor.domain.vocabulary import Exposure
from monitor.mechanics.coating import galvanising_minimum_um
from monitor.mechanics.corrosion import (
    Bound,
    Category,
    Metal,
    exponent,
    first_year_band_um,
    multiplier,
)
from monitor.mechanics.wall import rate_prior_um
from monitor.services.assessing.arrays import DAYS_PER_YEAR
from monitor.services.margins import case as mc
from monitor.services.margins.case import Findings, Known, Run, is_known
from monitor.units import show

T = TypeVar("T")

FULL_WALL_SHARE = 0.93
"""Of the ordered wall, what AISC 360 B4.2 counts on for welded tube."""
MILL_SPREAD = 0.04
"""Spread of walls as delivered, over the ordered wall (own choice)."""
TOO_THICK_SHARE = 1.10
"""A reading above this share of the ordered wall is not believed (own choice)."""
FASTER_SPREADS, OWN_SPREAD = 2.0, 0.5
THICKEST_ZINC_UM = 400.0
LINE_ZINC_UM = 15.0


@dataclass(frozen=True, slots=True)
class Part:
    """What is worn.

    Attributes
    ----------
    what : as people say it
    new_mm, new_sd_mm : as new, before any reading [mm]
    thickest_mm : more than this can not have been delivered [mm]
    series : name of the series that reads it
    per_reading : what one unit of a reading is worth (a half for a diameter)
    at_soil : whether it stands in the soil line
    """

    what: str
    new_mm: float
    new_sd_mm: float
    thickest_mm: float
    series: str
    per_reading: float
    at_soil: bool


def metal_of(known: Known, part: Part, found: Findings) -> mc.Metal:
    """Put together how the metal of a part goes, and note what it stands on."""
    run = _worst_run(known, part, found)
    if run is not None and run.starts_on > known.member.installed_on:
        return _renewed(known, part, run, found)
    rate = _rate(known, part, run, found)
    bare_on = known.member.installed_on
    if run is None or not _is_worn(part, run):
        bare_on = _bare_on(known, part, found)
    return _metal(known, part, run, (rate, bare_on), found)


def _metal(
    known: Known,
    part: Part,
    run: Run | None,
    clock: tuple[tuple[float, float], date],
    found: Findings,
) -> mc.Metal:
    rate, bare_on = clock
    read = run or Run("", known.member.installed_on, (), (), (), ())
    rate_um, rate_sd_um = _as_read(known, part, read, (rate, bare_on), found)
    return mc.Metal(
        new_mm=part.new_mm,
        new_sd_mm=part.new_sd_mm,
        rate_um=rate_um,
        rate_sd_um=rate_sd_um,
        bare_years=known.years_since(bare_on),
        on_years=tuple(-known.years_since(on) for on in read.on),
        read_mm=tuple(value * part.per_reading for value in read.values),
        noise_mm=tuple(noise * part.per_reading for noise in read.noise),
        starts_on=read.starts_on,
    )


def _worst_run(known: Known, part: Part, found: Findings) -> Run | None:
    """The readings at the mark where least is left."""
    runs = [
        _believed(known, part, run, found) for run in known.runs.get(part.series, ())
    ]
    read = [run for run in runs if run.on]
    if not read:
        found.missing.append(
            f"The {part.what} was never read; needed: a thickness reading on clean "
            "steel where it rusts most."
        )
        return None
    worst = min(read, key=lambda run: run.values[-1])
    found.measured(
        f"{part.what}, {worst.mark}",
        show(worst.values[-1], "mm"),
        f"{_times(len(worst.on))}, newest on {_day(worst.on[-1])}, good to "
        f"{show(worst.noise[-1], 'mm', digits=2)}",
    )
    return worst


def _believed(known: Known, part: Part, run: Run, found: Findings) -> Run:
    """The run without readings thicker than new; these are named."""
    if run.starts_on > known.member.installed_on or not is_known(part.new_mm):
        return run
    kept = [
        n
        for n, (value, noise) in enumerate(zip(run.values, run.noise, strict=True))
        if value * part.per_reading <= part.thickest_mm + 3.0 * noise * part.per_reading
    ]

    def left(column: tuple[T, ...]) -> tuple[T, ...]:
        return tuple(column[n] for n in kept)

    if len(kept) < len(run.on):
        found.missing.append(
            f"Readings of the {part.what} ({run.mark}) thicker than new are left out; "
            "needed: one on clean, flattened steel, or the wall as new mended."
        )
    return Run(
        run.mark,
        run.starts_on,
        left(run.on),
        left(run.values),
        left(run.values_y),
        left(run.noise),
    )


def _renewed(known: Known, part: Part, run: Run, found: Findings) -> mc.Metal:
    """After repair the first reading is the metal as new, and its clock starts anew."""
    first = run.values[0] * part.per_reading
    spread = 3.0 * run.noise[0] * part.per_reading
    anew = replace(part, new_mm=first, new_sd_mm=spread)
    found.assumed.append(
        f"Since the work of {_day(run.starts_on)} the {part.what} counts from its "
        "first reading, as bare steel."
    )
    rate = _rate(known, part, run, found)
    return _metal(known, anew, run, (rate, run.starts_on), found)


def _as_read(
    known: Known,
    part: Part,
    run: Run,
    clock: tuple[tuple[float, float], date],
    found: Findings,
) -> tuple[float, float]:
    """First-year loss to begin with: that of the air, unless metal went faster.

    When more is gone than the law of the air can account for, the newest reading's own
    rate takes its place, loosely, and all readings then correct it. Nothing of the
    kind is done where less is gone: that law is the safe side.
    """
    (rate_um, rate_sd_um), bare_on = clock
    if not run.on or not is_known(rate_um):
        return rate_um, rate_sd_um
    age = max(known.years_since(bare_on) - known.years_since(run.on[-1]), 0.0)
    grown = float(multiplier(age, exponent(Metal.STEEL, Bound.MEAN))) / 1000.0
    lost = part.new_mm - run.values[-1] * part.per_reading
    noise = run.noise[-1] * part.per_reading
    spread = hypot(part.new_sd_mm, noise, rate_sd_um * grown)
    if grown == 0.0 or lost - rate_um * grown <= FASTER_SPREADS * spread:
        return rate_um, rate_sd_um
    found.assumed.append(
        f"The {part.what} went faster than the air of the site accounts for; its own "
        "readings rule."
    )
    own = lost / grown
    return own, OWN_SPREAD * own


def _is_worn(part: Part, run: Run) -> bool:
    """Whether metal is gone beyond doubt, so that zinc can no longer be counted on."""
    least = part.new_mm - 3.0 * (part.new_sd_mm + run.noise[-1] * part.per_reading)
    return run.values[-1] * part.per_reading < least


def _rate(
    known: Known, part: Part, run: Run | None, found: Findings
) -> tuple[float, float]:
    """First-year loss of bare steel and its spread. [um/y]"""
    if known.site.exposure is not None:
        category = _category(known.site.exposure, part)
        where = f"air of the site {known.site.exposure}, ISO 9223"
        if part.at_soil:
            where += (
                ", one category worse at the soil line (common practice, no source)"
            )
        low, high = first_year_band_um(Metal.STEEL, category)
        found.recorded("first-year rust", f"{low:g} to {high:g}\u2009µm", where)
        return _floats(rate_prior_um(low, high))
    if run is not None and len(run.on) >= 2:
        found.taken(
            "first-year rust", "25 to 200\u2009µm",
            "air of the site not recorded; C3 to C5 of ISO 9223, told by the readings",
        )  # fmt: skip
        return _floats(rate_prior_um(25.0, 200.0))
    found.refused["metal"] = (
        "How fast the steel rusts is not known; needed: the exposure of the site, C1 "
        "to CX of ISO 9223, or two thickness readings some years apart."
    )
    return mc.NAN, mc.NAN


def _bare_on(known: Known, part: Part, found: Findings) -> date:
    """The day on which zinc is gone and steel begins to rust."""
    exposure = known.site.exposure
    zinc_um = _zinc_um(known, part, found)
    if exposure is None or zinc_um == 0.0:
        return known.member.installed_on
    _, fastest = first_year_band_um(Metal.ZINC, _category(exposure, part))
    years = zinc_um / fastest
    found.assumed.append(
        f"Zinc goes at {fastest:g} µm a year, the upper end of its band, and is gone "
        f"after {years:.0f} years; paint is not counted on."
    )
    return known.member.installed_on + timedelta(days=round(years * DAYS_PER_YEAR))


def _zinc_um(known: Known, part: Part, found: Findings) -> float:
    """Zinc as new, 0 where there is none or none is told of. [um]"""
    if known.word("line"):
        found.taken(
            "zinc", show(LINE_ZINC_UM, "um"), "least of ASTM A475 class A, from memory"
        )
        return LINE_ZINC_UM
    coating = known.word("coating").lower()
    is_painted = "paint" in coating
    if "galvanis" not in coating and "zinc" not in coating:
        told = known.word("coating") or "not recorded"
        found.taken("zinc", "none", f"coating: {told}; paint is not counted on")
        return 0.0
    thickness = known.number("coating_um")
    if is_known(thickness) and not is_painted and thickness <= THICKEST_ZINC_UM:
        found.recorded("zinc", show(thickness, "um"))
        return thickness
    least = galvanising_minimum_um(part.new_mm)[0] if is_known(part.new_mm) else 0.0
    found.taken("zinc", show(least, "um"), f"coating: {coating}; least of ISO 1461")
    return least


def _category(exposure: Exposure, part: Part) -> Category:
    order = list(Category)
    place = order.index(Category(exposure.value)) + int(part.at_soil)
    return order[min(place, len(order) - 1)]


def _floats(pair: tuple[object, object]) -> tuple[float, float]:
    mean, spread = pair
    return float(mean), float(spread)  # type: ignore[arg-type]  # single values


def _times(count: int) -> str:
    return "read once" if count == 1 else f"read {count} times"


def _day(on: date) -> str:
    return f"{on.day} {on:%B %Y}"
