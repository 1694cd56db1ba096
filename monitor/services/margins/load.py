"""What rests on a member today, how sure that is, and how it goes on."""

from collections.abc import Iterable

import numpy as np

from monitor.errors import MonitorError
from monitor.mechanics.limb import Crown, Limb, prop_demand
from monitor.mechanics.species import WOODS, species_density_kg_m3
from monitor.services.assessing.arrays import DAYS_PER_YEAR
from monitor.services.margins.case import Findings, Known, Load, is_known
from monitor.units import show

SET_SPREAD = 0.25
"""Standard deviation over the value of a load written down when it was set."""
LIMB_SPREAD = 0.40
"""The same of a load worked out from the limb's measures; both own judgement."""
USUAL_GAIN_MM = 2.0
"""Growth of a limb's diameter where none was measured: rings of a millimetre."""
GREEN_KG_M3 = 1000.0
SHORTEST_SPAN_YEARS = 3.0
TENSION_SPREAD = 0.15
TIP_MM = 20.0
_WEATHER = "Ice, snow and wind are not in the load."


def post_load(known: Known, found: Findings) -> Load:
    """What a limb puts on a post: as set and grown, else from its measures."""
    diameter, gain = growth_of(known, found)
    set_n = 1000.0 * known.number("set_load_kn")
    found.assumed.append(_WEATHER)
    if is_known(set_n) and set_n > 0.0:
        found.recorded(
            "load as set", show(set_n / 1000.0, "kN", digits=1),
            f"as built, {_good_to(SET_SPREAD)}",
        )  # fmt: skip
        now_n = set_n
        if is_known(diameter):
            grown = gain * known.years_since(known.member.installed_on)
            now_n *= (diameter / max(diameter - grown, diameter / 10.0)) ** 2
        return _load(now_n, SET_SPREAD, diameter, gain)
    return _load(_limb_n(known, diameter, found), LIMB_SPREAD, diameter, gain)


def tie_load(known: Known, found: Findings) -> Load:
    """What a cable or guy must hold: as read, else as set."""
    outlooks = [o for o in known.outlooks.get("tension", ()) if o.level is not None]
    if outlooks:
        outlook = max(outlooks, key=lambda o: o.level or 0.0)
        level, spread = outlook.level or 0.0, outlook.level_sd or 0.0
        found.measured(
            "tension",
            show(level, "kN", digits=1),
            f"{outlook.readings} readings, as of today, {_good_to(TENSION_SPREAD)}",
        )
        rise = max(outlook.rate or 0.0, 0.0)
        log_sd = float(np.hypot(TENSION_SPREAD, spread / max(level, 1e-3)))
        return Load(1000.0 * level, min(log_sd, 1.0), rise_n_year=1000.0 * rise)
    set_n = 1000.0 * known.number("set_tension_kn")
    if is_known(set_n) and set_n > 0.0:
        found.recorded(
            "tension as set", show(set_n / 1000.0, "kN", digits=1),
            f"as built, {_good_to(SET_SPREAD)}",
        )  # fmt: skip
        return Load(set_n, _log_sd(SET_SPREAD))
    found.refused["load"] = (
        "No pull is known; needed: a tension reading, or the tension as set."
    )
    return Load()


def through_load(known: Known, found: Findings) -> Load:
    """What a pin or rod carries, as it was designed."""
    load_n = 1000.0 * known.number("service_load_kn")
    if is_known(load_n):
        found.recorded(
            "load it carries", show(load_n / 1000.0, "kN", digits=1),
            f"as built, {_good_to(LIMB_SPREAD)}",
        )  # fmt: skip
        return Load(load_n, _log_sd(LIMB_SPREAD))
    found.refused["load"] = (
        "What it carries is not recorded; needed: the load it was designed for."
    )
    return Load()


def _load(now_n: float, spread: float, diameter: float, gain: float) -> Load:
    if not is_known(diameter):
        return Load(now_n, _log_sd(spread))
    return Load(now_n, _log_sd(spread), diameter, gain)


def _good_to(spread: float) -> str:
    return f"good to {100.0 * spread:.0f}\u202f% (own judgement)"


def _log_sd(spread: float) -> float:
    return float(np.sqrt(np.log1p(spread**2)))


def growth_of(known: Known, found: Findings) -> tuple[float, float]:
    """Limb diameter today and its yearly growth. [mm, mm/y]"""
    points = _diameters(known)
    if not points:
        found.missing.append(
            "The limb was never measured, so its load is not grown; needed: its "
            "diameter at the saddle, now and in some years."
        )
        return float("nan"), 0.0
    span = (points[-1][0] - points[0][0]) / DAYS_PER_YEAR
    if len(points) > 1 and span >= SHORTEST_SPAN_YEARS:
        gain = max(_slope(points), 0.0)
        found.measured(
            "growth of the limb", f"{show(gain, 'mm')} a year",
            f"{len(points)} diameters over {span:.0f} years",
        )  # fmt: skip
    else:
        gain = USUAL_GAIN_MM
        found.taken(
            "growth of the limb", f"{show(gain, 'mm')} a year",
            "rings of 1 mm, common practice, no source; needed: its diameter again",
        )  # fmt: skip
    ordinal, last = points[-1]
    return last + gain * (known.today.toordinal() - ordinal) / DAYS_PER_YEAR, gain


def _diameters(known: Known) -> list[tuple[int, float]]:
    """Day and diameter, oldest first, the as-built one among them."""
    points = [
        (on.toordinal(), value)
        for run in known.runs.get("limb_diameter", ())
        for on, value in zip(run.on, run.values, strict=True)
    ]
    built = known.number("limb_diameter_mm")
    if is_known(built):
        points.append((known.member.installed_on.toordinal(), built))
    return sorted(points)


def _slope(points: Iterable[tuple[int, float]]) -> float:
    """Least-squares growth. [mm/y]"""
    day, value = np.array(list(points), dtype=np.float64).T
    years = (day - day.mean()) / DAYS_PER_YEAR
    return float((years * value).sum() / (years**2).sum())


def _limb_n(known: Known, diameter: float, found: Findings) -> float:
    """Load from the measures of the limb, refused where they are not recorded. [N]"""
    at, length = known.number("stem_distance_mm"), known.number("limb_length_mm")
    wanted = {
        "the limb's diameter at the saddle": diameter,
        "its length": length,
        "the distance of the post from the stem": at,
    }
    lacking = [name for name, value in wanted.items() if not is_known(value)]
    if lacking:
        found.refused["load"] = (
            f"No load is known; needed: the load as set, or {' and '.join(lacking)}."
        )
        return float("nan")
    try:
        demand = prop_demand(
            _limb(known, diameter, found), at / 1000.0, Crown(), LIMB_SPREAD
        )
    except MonitorError as error:
        found.refused["load"] = error.message
        return float("nan")
    rests = show(demand.envelope_n / 1000.0, "kN", digits=1)
    how = f"{demand.method}; {show(length / 1000.0, 'm')} long; {_good_to(LIMB_SPREAD)}"
    found.recorded("load from the limb's measures", rests, how)
    found.assumed.extend(demand.assumed)
    found.missing.extend(demand.missing)
    return demand.envelope_n


def _limb(known: Known, diameter: float, found: Findings) -> Limb:
    at, length = known.number("stem_distance_mm"), known.number("limb_length_mm")
    base = known.number("limb_base_diameter_mm")
    if not is_known(base):
        base = TIP_MM + (diameter - TIP_MM) * length / max(length - at, 0.2 * length)
        found.taken(
            "limb diameter at the stem", show(base, "mm"), "an even taper to the tip"
        )
    stations = np.array([0.0, at, length]) / 1000.0
    return Limb(stations, np.array([base, diameter, TIP_MM]), _density(known, found))


def _density(known: Known, found: Findings) -> float:
    if known.tree.species in WOODS:
        try:
            density = species_density_kg_m3(known.tree.species)
        except MonitorError:
            pass
        else:
            found.taken(
                "green wood", f"{density:.0f}\u2009kg/m³",
                f"{known.tree.species}, Wood Handbook FPL-GTR-282",
            )  # fmt: skip
            return density
    found.taken(
        "green wood", f"{GREEN_KG_M3:.0f}\u2009kg/m³",
        f"no table value for {known.tree.species}; the heavy side, from memory",
    )  # fmt: skip
    return GREEN_KG_M3
