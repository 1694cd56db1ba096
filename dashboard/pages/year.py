"""The plan of the years: what the visits will ask for, and what may stay undone."""

from types import SimpleNamespace

from dash import Dash, dcc, html
from dash.development.base_component import Component

from dashboard.components.alerts import shown_as_alert
from dashboard.components.drawings import drawing
from dashboard.components.entries import headed
from dashboard.components.form import field
from dashboard.components.tables import quiet_table
from dashboard.components.text import CAUTION, month
from dashboard.context import AppContext
from dashboard.figures.years_chart import years_chart
from monitor.errors import InvalidInput
from monitor.schedule.years import Spread
from monitor.services.planning.years import YearsView, undone_in_words, years_view

NAME, PATH = "year", "/plan"
QUERY = ("years", "hours")
IDS = SimpleNamespace(years="year-years", hours="year-hours")
USUAL_YEARS = 3


def title() -> str:
    """Title of the page."""
    return "Plan of the years"


@shown_as_alert
def layout(context: AppContext, years: str = "", hours: str = "") -> Component:
    """The answer, the drawing, the tables, the question."""
    with context.store.read_session() as session:
        view = years_view(
            session, _years(years), _hours(hours), now=context.clock.now()
        )
    if not view.supports:
        return html.Article([html.H1("Nothing stands, so nothing is planned.")])
    parts: list[Component] = [html.H1(headline(view))]
    if view.undone is not None:
        parts.append(html.P(undone_in_words(view.undone), className="lead"))
    return html.Article([*parts, *_shown(view), _ask(years, hours)])


def register(app: Dash, context: AppContext) -> None:
    """Nothing to register: the question is an address."""


def headline(view: YearsView) -> str:
    """The first year in a sentence."""
    visits, hours = view.plan.visits_by_year[0], view.plan.hours_by_year[0]
    return (
        f"The coming year asks for about {visits.median:.0f} visits and "
        f"{hours.median:.0f} hours."
    )


def _shown(view: YearsView) -> list[Component]:
    plan = view.plan
    rows = [
        (m.starts_on, m.hours.low, m.hours.median, m.hours.high) for m in plan.months
    ]
    years = [
        [month(plan.months[12 * n].starts_on), _spread(visits), _spread(hours)]
        for n, (visits, hours) in enumerate(
            zip(plan.visits_by_year, plan.hours_by_year, strict=True)
        )
    ]
    length = len(plan.visits_by_year)
    return [
        drawing(years_chart(rows), "Hours of each month with bounds; the years below."),
        quiet_table(("Year from", "Visits", "Hours"), years, caption="By year"),
        html.P(
            "From the standing intervals, the looks that readings ask for, "
            f"{plan.works} works that age calls for, and unplanned visits at the rate "
            "of the last ten years. Nine of ten cases lie between the bounds if all "
            "goes on as it did. Minutes of visits and works are common practice, no "
            "source, unless devices taught better.",
            className="quiet",
        ),
        headed("By owner", [_table("Owner", plan.by_owner, length)]),
        headed("By site", [_table("Site", plan.by_site, length)]),
        html.P(CAUTION, className="caution"),
    ]


def _table(
    what: str, rows: tuple[tuple[str, float, float], ...], years: int
) -> Component:
    cells = [
        [name, f"{visits / years:.1f}", f"{hours / years:.1f}"]
        for name, visits, hours in rows
    ]
    heads = (what, "Planned visits a year", "Hours a year")
    return quiet_table(heads, cells, caption=f"{what}: visits and hours a year")


def _spread(value: Spread) -> str:
    return f"{value.median:.0f} ({value.low:.0f} to {value.high:.0f})"


def _ask(years: str, hours: str) -> Component:
    return html.Form(
        [
            field("Years", _line("years", years), key=IDS.years, hint="1 to 10."),
            field(
                "Hours there are in a year",
                _line("hours", hours),
                key=IDS.hours,
                hint="To see what would stay undone.",
            ),
            html.Button("Plan", type="submit"),
        ],
        action=PATH,
        method="get",
        className="ask part",
    )


def _line(name: str, value: str) -> Component:
    return dcc.Input(
        id=f"{NAME}-{name}", name=name, value=value, type="text", autoComplete="off"
    )


def _years(text: str) -> int:
    told = text.strip() or str(USUAL_YEARS)
    if not (told.isascii() and told.isdecimal() and len(told) <= 2):
        raise InvalidInput(
            f"“{told[:20]}” is no number of years; expected 1 to 10.",
            field="years",
            code="yrs-001",
        )
    return int(told)


def _hours(text: str) -> float | None:
    told = text.strip()
    if not told:
        return None
    if not (told.isascii() and told.replace(".", "", 1).isdigit() and len(told) <= 9):
        raise InvalidInput(
            f"“{told[:20]}” are no hours; expected a number such as 120.",
            field="hours",
            code="yrs-002",
        )
    return float(told)
