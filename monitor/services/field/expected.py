"""The marks of a member, with the last reading and what is expected of the next."""

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

import pandas as pd

from monitor.domain.conclusions import Outlook
from monitor.domain.quantities import QUANTITIES, Quantity
from monitor.domain.supports import Mark
from monitor.domain.vocabulary import Answer, MemberKind
from monitor.services.recording.doubts import SURPRISING_SDS

NINETY = 1.645
"""Standard deviations on either side that hold 90 % of a normal distribution."""


@dataclass(frozen=True, slots=True)
class FieldReading:
    """One quantity wanted at a mark.

    Attributes
    ----------
    value : last reading [unit of the quantity], None if there is none
    given : the same as it was typed
    low, high : expected range of the next [unit of the quantity], None if unknown
    basis : "outlook" for the 90 % range of the analysis; "still" for the spread of two
        readings of an unchanged thing about the last one; empty if there is no range
    """

    quantity: str
    on: date | None
    value: float | None
    given: str
    method: str
    low: float | None
    high: float | None
    basis: str


@dataclass(frozen=True, slots=True)
class FieldMark:
    """A mark with the readings that are usually taken there."""

    code: str
    note: str
    readings: tuple[FieldReading, ...]


@dataclass(frozen=True, slots=True)
class _Last:
    on: date
    value: float
    given: str
    method: str
    sd: float


@dataclass(frozen=True, slots=True)
class Read:
    """Last readings and outlooks of many supports, by mark and name."""

    last: dict[tuple[UUID, str], _Last]
    outlooks: dict[tuple[UUID, str], Outlook]

    @classmethod
    def of(cls, readings: pd.DataFrame, outlooks: Iterable[Outlook]) -> "Read":
        """From the frame of readings, oldest first, and the outlooks."""
        measured = readings[readings["answer"] == Answer.MEASURED.value]
        newest = measured.groupby(["mark_id", "quantity"], sort=False).tail(1)
        rows = newest.to_dict("records")
        last = {
            (row["mark_id"], str(row["quantity"])): _Last(
                row["inspected_on"],
                float(row["value"]),
                row["given"],
                row["method"],
                math.hypot(row["sd_instrument"], row["sd_placement"]),
            )
            for row in rows
        }
        return cls(last, {(o.mark_id, o.series): o for o in outlooks})


def marks_of(
    kind: MemberKind, marks: Sequence[Mark], read: Read
) -> tuple[FieldMark, ...]:
    """Known marks, and the usual ones of the kind where a member has none at all."""
    wanted = [(mark.code, mark.note, _at(mark, kind, read)) for mark in marks]
    if not marks:
        usual: dict[str, list[FieldReading]] = defaultdict(list)
        for quantity in _of_kind(kind):
            usual[quantity.mark].append(_reading(quantity, None, None))
        wanted = [(code, "", tuple(readings)) for code, readings in usual.items()]
    return tuple(FieldMark(*mark) for mark in wanted)


def _at(mark: Mark, kind: MemberKind, read: Read) -> tuple[FieldReading, ...]:
    return tuple(
        _reading(
            quantity,
            read.last.get((mark.id, quantity.name)),
            read.outlooks.get((mark.id, quantity.series_name)),
        )
        for quantity in _of_kind(kind)
        if (mark.id, quantity.name) in read.last
        or mark.code.casefold().startswith(quantity.mark)
    )


def _of_kind(kind: MemberKind) -> list[Quantity]:
    return [q for q in QUANTITIES.values() if kind in q.kinds]


def _reading(
    quantity: Quantity, last: _Last | None, outlook: Outlook | None
) -> FieldReading:
    low, high, basis = _expected(quantity, last, outlook)
    return FieldReading(
        quantity=quantity.name,
        on=last.on if last else None,
        value=last.value if last else None,
        given=last.given if last else "",
        method=last.method if last else "",
        low=low,
        high=high,
        basis=basis,
    )


def _expected(
    quantity: Quantity, last: _Last | None, outlook: Outlook | None
) -> tuple[float | None, float | None, str]:
    found = _by_outlook(quantity, last, outlook)
    if found:
        return (*found, "outlook")
    if last is None:
        return None, None, ""
    return *_within(quantity, last.value, SURPRISING_SDS * last.sd), "still"


def _by_outlook(
    quantity: Quantity, last: _Last | None, outlook: Outlook | None
) -> tuple[float, float] | None:
    """An outlook of tilt speaks of the way from the first position; its axes are apart.

    The range of an axis is that of its level now with the noise of one reading.
    """
    if outlook is None:
        return None
    if quantity.series_name == quantity.name:
        low, high = outlook.expected_low, outlook.expected_high
        return None if low is None or high is None else (low, high)
    place = outlook.details.get("position")
    if not isinstance(place, list | tuple) or len(place) < 4 or last is None:
        return None
    level, sd = float(place[quantity.axis]), float(place[2 + quantity.axis])
    return _within(quantity, level, NINETY * math.hypot(sd, last.sd))


def _within(quantity: Quantity, middle: float, half: float) -> tuple[float, float]:
    return max(middle - half, quantity.low), min(middle + half, quantity.high)
