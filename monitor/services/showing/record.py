"""What an inspection of one support should bring: marks, last values, expectations."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

import pandas as pd

from monitor.domain.conclusions import Due, Outlook
from monitor.domain.quantities import QUANTITIES, Quantity
from monitor.domain.supports import Mark, Support
from monitor.domain.vocabulary import Answer
from monitor.services.showing.support import (
    MemberView,
    Place,
    find_support,
    members_of,
    place_of,
)
from monitor.store import Session
from monitor.store import records as r
from monitor.store.frames import readings_frame

__all__ = ["LastReading", "RecordView", "WantedReading", "to_record"]


@dataclass(frozen=True, slots=True)
class LastReading:
    """The newest number read there."""

    on: date
    value: float
    given: str
    method: str


@dataclass(frozen=True, slots=True)
class WantedReading:
    """One quantity to read at one mark.

    Attributes
    ----------
    is_usual : read here before, or usual at a mark of that name
    expected : 90 % range of the next reading [unit], None if nothing is expected
    """

    member: str
    mark: str
    quantity: Quantity
    is_usual: bool
    last: LastReading | None
    expected: tuple[float, float] | None

    @property
    def key(self) -> str:
        """Names the field of the form."""
        return f"{self.member}|{self.mark}|{self.quantity.name}"


@dataclass(frozen=True, slots=True)
class RecordView:
    """A support, and everything that can be read on it."""

    support: Support
    place: Place
    due: Due | None
    members: tuple[str, ...]
    wanted: tuple[WantedReading, ...]


def to_record(session: Session, code: str, now: datetime) -> RecordView:
    """What an inspection of the support with that code should bring.

    Raises
    ------
    NotFound : no support has that code
    """
    found = find_support(session, code)
    standing = [
        part for part in members_of(session, found) if part.member.removed_on is None
    ]
    rows = readings_frame(session, [found.id])
    last = _last_readings(rows[rows["answer"] == Answer.MEASURED.value])
    outlooks = r.OUTLOOKS.all(session, r.OUTLOOKS.table.c.support_id == found.id)
    by_series = {(outlook.mark_id, outlook.series): outlook for outlook in outlooks}
    return RecordView(
        support=found,
        place=place_of(session, found, now),
        due=r.DUES.find(session, support_id=found.id),
        members=tuple(part.member.code for part in standing),
        wanted=tuple(
            _wanted(
                (part, mark, quantity),
                last.get((mark.id, quantity.name)),
                by_series.get(_key(mark, quantity)),
            )
            for part in standing
            for mark in part.marks
            for quantity in QUANTITIES.values()
            if part.member.kind in quantity.kinds
        ),
    )


def _key(mark: Mark, quantity: Quantity) -> tuple[UUID, str]:
    return mark.id, quantity.series_name


def _last_readings(rows: pd.DataFrame) -> dict[tuple[UUID, str], LastReading]:
    """The newest reading of each quantity at each mark."""
    names = ["mark_id", "quantity", "inspected_on", "value", "given", "method"]
    return {
        (mark_id, quantity): LastReading(on, float(value), given, method)
        for mark_id, quantity, on, value, given, method in zip(
            *(rows[name] for name in names), strict=True
        )
    }


def _wanted(
    at: tuple[MemberView, Mark, Quantity],
    last: LastReading | None,
    outlook: Outlook | None,
) -> WantedReading:
    part, mark, quantity = at
    return WantedReading(
        member=part.member.code,
        mark=mark.code,
        quantity=quantity,
        is_usual=last is not None or _is_usual(mark, quantity),
        last=last,
        expected=_expected(outlook, quantity),
    )


def _is_usual(mark: Mark, quantity: Quantity) -> bool:
    return mark.code.casefold().startswith(quantity.mark)


def _expected(
    outlook: Outlook | None, quantity: Quantity
) -> tuple[float, float] | None:
    """The outlook of tilt speaks of the way from the first position, not of an axis."""
    if outlook is None or quantity.series_name != quantity.name:
        return None
    if outlook.expected_low is None or outlook.expected_high is None:
        return None
    return outlook.expected_low, outlook.expected_high
