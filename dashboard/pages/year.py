"""The plan of the years: what the visits will ask for, and what may stay undone."""

from collections.abc import Mapping
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
from dashboard.remembered import remembered
from monitor.domain.percent import chance, percent
from monitor.errors import InvalidInput
from monitor.schedule.shortfall import Cap
from monitor.schedule.years import MonthPlan, Share
from monitor.services.planning.years import (
    SCREENING,
    YearsView,
    spread,
    undone_in_words,
    years_view,
)

NAME, PATH = "year", "/plan"
QUERY = ("years", "hours", "money", "visits")
IDS = SimpleNamespace(
    years="year-years", hours="year-hours", money="year-money", visits="year-visits"
)
USUAL_YEARS = 3


def title() -> str:
    """Title of the page."""
    return "Plan of the years"


@shown_as_alert
@remembered
def layout(context: AppContext, **asked: str) -> Component:
    """The answer, the drawing, the tables, the question."""
    cap = Cap(*(_number(asked.get(name, ""), name) for name in QUERY[1:]))
    with context.store.read_session() as session:
        view = years_view(
            session, _years(asked.get("years", "")), cap, now=context.clock.now()
        )
    if not view.supports:
        return html.Article([html.H1("Nothing stands, so nothing is planned.")])
    parts: list[Component] = [html.H1(headline(view))]
    if view.undone is not None:
        parts.append(html.P(undone_in_words(view.undone, view.costs), className="lead"))
    calendar = dcc.Link("The calendar of the coming year", href="/plan/calendar")
    return html.Article([*parts, html.P(calendar), *_shown(view, asked)])


def register(app: Dash, context: AppContext) -> None:
    """Nothing to register: the question is an address."""


def headline(view: YearsView) -> str:
    """The first year in a sentence."""
    plan = view.plan
    visits, hours = plan.visits_by_year[0], plan.hours_by_year[0]
    money = ""
    if view.costs.is_told:
        money = f", {plan.money_by_year[0].median:,.0f} {view.costs.currency}".rstrip()
    return (
        f"The coming year asks for about {visits.median:.0f} visits and "
        f"{hours.median:.0f} hours{money}."
    )


def _shown(view: YearsView, asked: Mapping[str, str]) -> list[Component]:
    plan = view.plan
    rows = [
        (m.starts_on, m.hours.low, m.hours.median, m.hours.high) for m in plan.months
    ]
    return [
        drawing(years_chart(rows), "Hours of each month with bounds; the years below."),
        _by_year(view),
        html.P(
            "From the standing intervals, the looks that readings ask for, "
            f"{plan.works} works that age calls for, and unplanned visits at the rate "
            "of the last ten years. Nine of ten cases lie between the bounds if all "
            "goes on as it did. Minutes of visits and works are common practice, no "
            "source, unless devices taught better.",
            className="quiet",
        ),
        _no_costs(view),
        _ask(asked),
        _remaining(view),
        html.Details([html.Summary("Month by month"), _by_month(view)]),
        headed("By owner", [_shares(view, "Owner", plan.by_owner)]),
        headed("By site", [_shares(view, "Site", plan.by_site)]),
        html.P(CAUTION, className="caution"),
    ]


def _by_year(view: YearsView) -> Component:
    plan = view.plan
    rows = []
    for n, visits in enumerate(plan.visits_by_year):
        months = plan.months[12 * n : 12 * n + 12]
        works = sum(one.works for one in months)
        row = [
            month(months[0].starts_on), spread(visits), spread(plan.hours_by_year[n]),
            str(works),
        ]  # fmt: skip
        rows.append(_priced(view, row, spread(plan.money_by_year[n])))
    heads = _priced(view, ["Year from", "Visits", "Hours", "Works"], "Money")
    return quiet_table(heads, rows, caption="By year")


def _by_month(view: YearsView) -> Component:
    def row(one: MonthPlan) -> list[str]:
        cells = [month(one.starts_on), spread(one.visits), spread(one.hours)]
        return _priced(view, [*cells, str(one.works)], spread(one.money))

    heads = _priced(view, ["Month", "Visits", "Hours", "Works"], "Money")
    return quiet_table(heads, [row(one) for one in view.plan.months], caption="Months")


def _remaining(view: YearsView) -> Component:
    """What a smaller budget leaves unseen."""
    rows = [
        [
            percent(rung.share),
            str(rung.given_up),
            f"{rung.unseen.expected:.1f} ({rung.unseen.number.low:.0f} to "
            f"{rung.unseen.number.high:.0f})",
            chance(rung.unseen.any_share),
            str(rung.unseen.unknown),
        ]
        for rung in view.rungs
    ]
    heads = (
        "Hours there are", "Supports unvisited", "Expected to reach a limit unseen",
        "Chance of at least one", "Without a forecast",
    )  # fmt: skip
    return headed(
        "What a smaller budget leaves unseen",
        [
            html.P(
                "Visits are given up from the least risk: by standing, then by use and "
                "consequence beneath, then by the forecast. A limit is one for action."
            ),
            quiet_table(heads, rows, caption="What a smaller budget leaves unseen"),
            html.P(SCREENING, className="quiet"),
        ],
    )


def _shares(view: YearsView, what: str, shares: tuple[Share, ...]) -> Component:
    years = len(view.plan.visits_by_year)
    cells = [
        _priced(
            view,
            [each.name, f"{each.visits / years:.1f}", f"{each.hours / years:.1f}"],
            f"{each.money / years:,.0f}",
        )
        for each in shares
    ]
    heads = _priced(view, [what, "Planned visits a year", "Hours a year"], "Money")
    return quiet_table(heads, cells, caption=f"{what}: visits and hours a year")


def _priced(view: YearsView, cells: list[str], money: str) -> list[str]:
    """A row with its money, once anything has a price."""
    if not view.costs.is_told:
        return cells
    named = f"Money, {view.costs.currency}".rstrip(", ") if money == "Money" else money
    return [*cells, named]


def _no_costs(view: YearsView) -> Component:
    if view.costs.is_told:
        return html.P("Prices are your own, from the policy.", className="quiet")
    link = dcc.Link("enter your costs in the policy", href="/policy")
    return html.P(["To see money too, ", link, "."], className="quiet")


def _ask(asked: Mapping[str, str]) -> Component:
    lines = (
        ("years", "Years", "1 to 10."),
        ("hours", "Hours there are in a year", "To see what would stay undone."),
        ("money", "Money there is in a year", "In the currency of your costs."),
        ("visits", "Visits there can be in a year", ""),
    )
    return html.Form(
        [
            html.H2("If there is less"),
            *(
                field(label, _line(name, asked.get(name, "")), key=f"{NAME}-{name}",
                      hint=hint)
                for name, label, hint in lines
            ),
            html.Button("Plan", type="submit"),
        ],
        action=PATH,
        method="get",
        className="ask part",
    )  # fmt: skip


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


def _number(text: str, name: str) -> float | None:
    told = text.strip()
    if not told:
        return None
    if not (told.isascii() and told.replace(".", "", 1).isdigit() and len(told) <= 9):
        raise InvalidInput(
            f"“{told[:20]}” is no number of {name}; expected a number such as 120.",
            field=name,
            code="yrs-002",
        )
    return float(told)
