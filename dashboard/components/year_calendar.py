"""Twelve small months, with how many inspections and works fall on each day."""

import calendar
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from dash import html
from dash.development.base_component import Component

from dashboard.components.attributes import aria
from dashboard.components.text import counted, day, month

_DAYS = ("Mo", "Tu", "We", "Th", "Fr", "Sa", "Su")
MANY = 4
"""From so many on a day is marked as a full one."""


@dataclass(frozen=True, slots=True)
class DayCount:
    """What falls on one day."""

    looks: int
    works: int

    @property
    def all(self) -> int:
        """Both together."""
        return self.looks + self.works


def year_calendar(first: date, counts: Mapping[date, DayCount]) -> Component:
    """The twelve months from that of `first` on."""
    starts = [_month(first, n) for n in range(12)]
    return html.Div([_one(on, counts) for on in starts], className="year-months")


def _one(on: date, counts: Mapping[date, DayCount]) -> Component:
    weeks = calendar.Calendar().monthdatescalendar(on.year, on.month)
    inside = [
        c for at, c in counts.items() if (at.year, at.month) == (on.year, on.month)
    ]
    total = sum(count.all for count in inside)
    head = html.Tr([html.Th(name, scope="col") for name in (*_DAYS, "week")])
    rows = [
        html.Tr([*(_cell(at, on, counts) for at in week), _week(week, on, counts)])
        for week in weeks
    ]
    caption = f"{month(on)}: {counted(total, 'look or work', 'looks and works')}"
    return html.Table(
        [html.Caption(caption), html.Thead(head), html.Tbody(rows)],
        className="year-month",
    )


def _cell(at: date, on: date, counts: Mapping[date, DayCount]) -> Component:
    if at.month != on.month:
        return html.Td("")
    count = counts.get(at)
    if count is None:
        return html.Td(str(at.day))
    said = [counted(count.looks, "inspection")] if count.looks else []
    said += [counted(count.works, "work")] if count.works else []
    return html.Td(
        [str(at.day), html.Strong(str(count.all))],
        className="many" if count.all >= MANY else "some",
        title=f"{day(at)}: {' and '.join(said)}",
        **aria(label=f"{day(at)}: {' and '.join(said)}"),
    )


def _week(week: list[date], on: date, counts: Mapping[date, DayCount]) -> Component:
    total = sum(counts[at].all for at in week if at in counts and at.month == on.month)
    return html.Td(html.Strong(str(total)) if total else "", className="week")


def _month(first: date, n: int) -> date:
    years, month0 = divmod(first.month - 1 + n, 12)
    return date(first.year + years, month0 + 1, 1)
