"""Every inspection that is owed, in the order in which it wants doing, with why."""

from collections.abc import Sequence
from types import SimpleNamespace

from dash import Dash, Input, Output, dcc, html
from dash.development.base_component import Component

from dashboard import calendar_feed
from dashboard.components.alerts import shown_as_alert
from dashboard.components.calendars import calendar_links
from dashboard.components.owed_lists import due_lists
from dashboard.components.owed_works import works_part
from dashboard.components.text import counted, month, sentence
from dashboard.context import AppContext
from monitor.clock import local_date
from monitor.services.planning.works import works_due
from monitor.services.showing.due_page import DueChoice, DuePage, due_page, month_of
from monitor.services.showing.register import Owed

NAME, PATH = "due", "/due"
QUERY = ("site", "kind", "part", "page")
IDS = SimpleNamespace(site="due-site", kind="due-kind", lists="due-lists")


def title() -> str:
    """Title of the page."""
    return "Due"


@shown_as_alert
def layout(
    context: AppContext, site: str = "", kind: str = "", part: str = "", page: str = ""
) -> Component:
    """The answer, the two filters, the lists."""
    choice = DueChoice(site, kind, part, int(page) if page.isdecimal() else 1)
    today = local_date(context.clock.now(), context.settings.timezone)
    with context.store.read_session() as session:
        works = works_due(session, None, today=today)
        found = due_page(session, context.clock.now(), choice)
    return html.Article(
        [
            html.H1(headline(found)),
            html.Div(
                [
                    _choice(IDS.site, "Site", found.sites, site),
                    _choice(IDS.kind, "Made of", found.kinds, kind),
                ],
                className="filters",
            ),
            html.P(
                [
                    dcc.Link("Deferrals, closed days, crowns", href="/due/days"),
                    " · ",
                    dcc.Link("The plan of the years", href="/plan"),
                ]
            ),
            html.Div(due_lists(found, choice), id=IDS.lists),
            *works_part(works, today),
            calendar_links(calendar_feed.links(context)),
        ]
    )


def register(app: Dash, context: AppContext) -> None:
    """The lists follow the two choices."""

    @app.callback(
        Output(IDS.lists, "children"),
        Input(IDS.site, "value"),
        Input(IDS.kind, "value"),
        prevent_initial_call=True,
    )
    def narrow(site: str | None, kind: str | None) -> list[Component]:
        choice = DueChoice(site or "", kind or "")
        with context.store.read_session() as session:
            return due_lists(due_page(session, context.clock.now(), choice), choice)


def headline(found: DuePage) -> str:
    """How much is owed, in one sentence."""
    totals = found.totals
    late = totals.get(Owed.LATE, 0)
    now = totals.get(Owed.DUE, 0) + totals.get(Owed.OPEN, 0)
    if late:
        more = f" and {counted(now, 'more', 'more')} may be done now" if now else ""
        verb = "is" if late == 1 else "are"
        return sentence(f"{counted(late, 'inspection')} {verb} late{more}.")
    if now:
        return sentence(
            f"nothing is late; {counted(now, 'inspection')} may be done now."
        )
    if totals:
        return f"Nothing is owed before {month(month_of(min(totals)))}."
    return "Nothing is owed."


def _choice(key: str, label: str, values: Sequence[str], chosen: str) -> Component:
    return html.Div(
        [
            html.Label(label, htmlFor=key),
            dcc.Dropdown(
                id=key, options=[*values], value=chosen or None, placeholder="all"
            ),
        ],
        className="choice",
    )
