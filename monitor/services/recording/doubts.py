"""What is possible but surprising in a reading: questions, never corrections.

A change counts as surprising beyond 2.77 standard deviations of one reading: 1.96·√2,
the 95 % limit for the difference of two readings of an unchanged thing (repeatability
limit, ISO 5725-6).
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from monitor.domain.inspections import Reading
from monitor.domain.quantities import QUANTITIES, Quantity
from monitor.services.drafting.reading import Spot
from monitor.services.recording.checks import Doubt, near, spoken
from monitor.services.recording.dossier import Dossier, SeriesKey
from monitor.units import show, unit_slip

SURPRISING_SDS = 2.77


def doubt_key(spot: Spot, reading: Reading) -> str:
    """Name of a reading within its inspection."""
    where = f"{spot.member.code}/{spot.mark.code}"
    return f"{where}/{reading.quantity}/{reading.repeat}"


def of_unit(
    dossier: Dossier, spot: Spot, reading: Reading, on: date
) -> tuple[str, str] | None:
    """Field and question, if the number looks like the last one in another unit."""
    past = dossier.past(spot.mark.id, reading.quantity, on)
    if not past or reading.value is None:
        return None
    when, value, sd = past[-1]
    allowed = SURPRISING_SDS * max(sd, reading.sd_instrument)
    if min(abs(reading.value - v) for v in (value, _foreseen(past, on))) <= allowed:
        return None
    quantity = QUANTITIES[reading.quantity]
    slip = unit_slip(reading.value, value)
    if slip is None or not _is_mistakable(quantity, reading.value / value):
        return None
    return "value", (
        f"{_name(dossier, spot)}, {quantity.label}: {reading.given} is "
        f"{show(reading.value, quantity.unit)} after {show(value, quantity.unit)} on "
        f"{spoken(when)}, {slip}"
    )


def _foreseen(past: Sequence[tuple[date, float, float]], on: date) -> float:
    """The last value, carried on at the rate between the last two."""
    (first_on, first, _), (last_on, last, _) = past[0], past[-1]
    days = (last_on - first_on).days
    rate = (last - first) / days if days else 0.0
    return last + rate * (on - last_on).days


def _is_mistakable(quantity: Quantity, ratio: float) -> bool:
    """Whether the ratio is one that the units of this quantity are mistaken by."""
    size = max(abs(ratio), 1.0 / abs(ratio)) if ratio else 0.0
    ratios = _MISTAKEN_BY.get(quantity.unit, (10.0,))
    if quantity.name.endswith("diameter"):
        ratios = (*ratios, 2.54, math.pi)
    return ratio > 0 and any(abs(size / r - 1.0) <= 0.1 for r in ratios)


_MISTAKEN_BY = {
    "mm": (25.4, 10.0, 304.8),
    "mm/m": (17.455, 10.0),
    "um": (25.4, 10.0, 1000.0),
    "kN": (4.448, 10.0, 224.8),
}


def of_mark(dossier: Dossier, spot: Spot) -> tuple[str, str] | None:
    """Field and question, if a new mark is spelt almost like one that is known."""
    if not spot.is_new:
        return None
    known = [m.code for m in dossier.marks.values() if m.member_id == spot.member.id]
    hint = near(spot.mark.code, known, most=1).removeprefix("; ")
    if not hint:
        return None
    name = f"{dossier.support.code} {spot.member.code}"
    return "mark", f"{name} has no mark “{spot.mark.code}” so far: {hint}"


def of_repeat(
    dossier: Dossier,
    spot: Spot,
    reading: Reading,
    seen: Mapping[SeriesKey, Mapping[int, str]],
) -> tuple[str, str] | None:
    """Field and question, if a repeat on one day says exactly the same again."""
    said = seen.get((reading.mark_id, reading.quantity), {})
    earlier = [text for repeat, text in said.items() if repeat < reading.repeat]
    if not reading.given or reading.given not in earlier:
        return None
    quantity = QUANTITIES[reading.quantity]
    return "repeat", (
        f"{_name(dossier, spot)}, {quantity.label}: {reading.given} is given twice for "
        "one day: was it really read twice?"
    )


def of_axes(
    dossier: Dossier, tilts: Iterable[tuple[int, Spot, Reading]], on: date
) -> list[Doubt]:
    """Ask where the two tilts of a mark fit the last pair only when exchanged."""
    pairs: dict[object, dict[str, tuple[int, Spot, Reading]]] = {}
    for part, spot, reading in tilts:
        pairs.setdefault((spot.mark.id, reading.repeat), {})[reading.quantity] = (
            part,
            spot,
            reading,
        )
    found = []
    for pair in pairs.values():
        if len(pair) == 2 and _fits_exchanged(dossier, pair, on):
            part, spot, reading = pair["tilt_x"]
            other = pair["tilt_y"][2]
            question = (
                f"{_name(dossier, spot)}: the two tilts, {reading.given} away from the "
                f"stem and {other.given} to the side, fit the last pair only when "
                "exchanged: were the axes swapped?"
            )
            key = doubt_key(spot, reading)
            found.append(Doubt(key, "quantity", reading.given, question, part))
    return found


def _fits_exchanged(
    dossier: Dossier, pair: dict[str, tuple[int, Spot, Reading]], on: date
) -> bool:
    readings = {name: reading for name, (_, _, reading) in pair.items()}
    mark_id = pair["tilt_x"][1].mark.id
    past_x = dossier.past(mark_id, "tilt_x", on)
    past_y = dossier.past(mark_id, "tilt_y", on)
    x, y = readings["tilt_x"].value, readings["tilt_y"].value
    if not past_x or not past_y or x is None or y is None:
        return False
    last_x, last_y = past_x[-1], past_y[-1]
    near_by = SURPRISING_SDS * max(last_x[2], last_y[2])
    as_given = max(abs(x - last_x[1]), abs(y - last_y[1]))
    exchanged = max(abs(y - last_x[1]), abs(x - last_y[1]))
    return as_given > 2 * near_by and exchanged <= near_by


def _name(dossier: Dossier, spot: Spot) -> str:
    return f"{dossier.support.code} {spot.member.code}, {spot.mark.code}"
