"""The calendar of the coming year: what falls due on which day."""

from collections import Counter
from datetime import date
from types import SimpleNamespace

from dash import Dash, dcc, html
from dash.development.base_component import Component

from dashboard.components.alerts import shown_as_alert
from dashboard.components.text import counted, sentence
from dashboard.components.year_calendar import DayCount, year_calendar
from dashboard.context import AppContext
from dashboard.remembered import remembered
from monitor.clock import local_date
from monitor.services.planning.works import works_ahead
from monitor.services.showing.register import due_list

NAME, PATH = "year-days", "/plan/calendar"
QUERY: tuple[str, ...] = ()
IDS = SimpleNamespace()


def title() -> str:
    """Title of the page."""
    return "Calendar of the year"


@shown_as_alert
@remembered
def layout(context: AppContext) -> Component:
    """The year in twelve small months."""
    now = context.clock.now()
    today = local_date(now, context.settings.timezone)
    with context.store.read_session() as session:
        groups = due_list(session, now)
        works = works_ahead(session, None, today=today)
    end = today.replace(day=1, year=today.year + 1)
    dues = [due.due_on for group in groups for due in group.lines if due.due_on < end]
    owed = [work.due_on for work in works if work.due_on < end]
    counts = _counts(dues, owed, today)
    return html.Article(
        [
            html.H1(headline(len(dues), len(owed))),
            html.P(
                "The next inspection of each support on the day it is due, and works "
                "that age calls for; what is late stands on today. Later visits of the "
                "same support are not on it: the plan of the years counts those.",
                className="quiet",
            ),
            html.P(dcc.Link("The plan of the years", href="/plan")),
            year_calendar(today, counts),
        ]
    )


def register(app: Dash, context: AppContext) -> None:
    """Nothing on this page answers to clicks."""


def headline(looks: int, works: int) -> str:
    """The year in one sentence."""
    said = f"{counted(looks, 'inspection')} and {counted(works, 'work')}"
    return sentence(f"{said} fall due in the coming year.")


def _counts(dues: list[date], works: list[date], today: date) -> dict[date, DayCount]:
    looks = Counter(max(on, today) for on in dues)
    owed = Counter(max(on, today) for on in works)
    return {on: DayCount(looks[on], owed[on]) for on in {*looks, *owed}}
