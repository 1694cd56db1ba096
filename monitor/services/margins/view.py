"""The margin of one support through the years, as its page shows it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from uuid import UUID

import numpy as np
import pandas as pd

from monitor.clock import local_date
from monitor.domain.supports import Support
from monitor.domain.vocabulary import Answer
from monitor.mechanics.guard import Array
from monitor.mechanics.review import Review
from monitor.mechanics.screening import CAUTION
from monitor.services.assessing.fleet import Fleet, load_fleet
from monitor.services.assessing.series import series_of
from monitor.services.margins.case import Case, Known
from monitor.services.margins.fleet import known_members
from monitor.services.margins.margins import case_of, margins_of
from monitor.services.margins.member_margin import MemberMargin
from monitor.services.recording.review_as_built import review_of
from monitor.store import Session, records
from monitor.store.frames import readings_frame

HORIZON_YEARS = 40
STEP_YEARS = 5


@dataclass(frozen=True, slots=True)
class MarginView:
    """The margins of the members that stand, and the review of what was built.

    Attributes
    ----------
    today : at the site
    members : in the order of their codes
    reviews : as-built review of the same members
    """

    support: Support
    today: date
    members: tuple[MemberMargin, ...]
    reviews: tuple[Review, ...]
    caution: str = CAUTION


def margin_view(
    session: Session, support_id: UUID, now: datetime, horizon: int = HORIZON_YEARS
) -> MarginView:
    """The margin of every standing member, from as built to the horizon.

    Parameters
    ----------
    horizon : years ahead, told every five years [y]
    """
    fleet, cases = _cases(session, support_id, now)
    today = _today(fleet, support_id, now)
    return MarginView(
        support=fleet.supports[support_id],
        today=today,
        members=tuple(margins_of([case], years_of(case, horizon))[0] for case in cases),
        reviews=tuple(review_of(case.known) for case in cases),
    )


def member_case(
    session: Session, support_id: UUID, member: str, now: datetime
) -> Case | None:
    """What is known of the member with that code, None if none stands."""
    _, cases = _cases(session, support_id, now)
    found = (case for case in cases if case.known.member.code == member)
    return next(found, None)


def years_of(case: Case, horizon: int) -> Array:
    """The years that are told: from as built, every five years, and today. [y]"""
    known = case.known
    built = max(known.member.installed_on, case.metal.starts_on)
    age = known.years_since(built)
    past = -np.arange(0.0, age, STEP_YEARS)[::-1]
    ahead = np.arange(STEP_YEARS, horizon + 0.5, STEP_YEARS)
    steps = past if past.size > 1 and past[0] + age > 1.0 else past[1:]
    first = [-age] if age > 0.1 else []
    years = np.concatenate((first, steps, ahead))
    return np.asarray(np.union1d(years, [0.0]), dtype=np.float64)


def _today(fleet: Fleet, support_id: UUID, now: datetime) -> date:
    return local_date(now, fleet.sites[support_id].timezone)


def _cases(
    session: Session, support_id: UUID, now: datetime
) -> tuple[Fleet, list[Case]]:
    fleet = load_fleet(session, [support_id])
    table = series_of(session, fleet)
    outlooks = records.OUTLOOKS.all(
        session, records.OUTLOOKS.table.c.support_id == support_id
    )
    days = {support_id: _today(fleet, support_id, now)}
    known = known_members(fleet, table, outlooks, days)
    known.sort(key=lambda one: one.member.code)
    rows = readings_frame(session, [support_id])
    rows = rows[rows["answer"] == Answer.MEASURED.value]
    return fleet, [_with_past(case_of(one), rows) for one in known]


def _with_past(case: Case, rows: pd.DataFrame) -> Case:
    """The case with every lean that was ever read, also before works."""
    seen = _leans(case.known, rows[rows["member_id"] == case.known.member.id])
    if not seen:
        return case
    return replace(case, lean=replace(case.lean, seen=tuple(seen)))


def _leans(known: Known, rows: pd.DataFrame) -> Sequence[tuple[float, float]]:
    """Years from today and size of the lean, one a day, oldest first."""
    keys = ["inspected_on", "mark_id", "inspection_id", "repeat"]
    x, y = (
        rows.loc[rows["quantity"] == name, [*keys, "value"]]
        for name in ("tilt_x", "tilt_y")
    )
    both = x.merge(y, on=keys)
    if both.empty:
        return []
    lean = pd.Series(np.hypot(both["value_x"], both["value_y"]), index=both.index)
    by_day = lean.groupby(both["inspected_on"]).median().sort_index()
    return [
        (-known.years_since(on), size)
        for on, size in zip(by_day.index, by_day, strict=True)
    ]
