"""Agreed rounds on pages: the list, the form that agrees, the table of ways."""

from collections.abc import Sequence

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.attributes import data
from dashboard.components.entries import entries, entry, support_entry
from dashboard.components.plain_forms import one_button
from dashboard.components.text import counted, day, sentence
from monitor.domain.rounds import TravelTable
from monitor.schedule.round_task import clock
from monitor.services.planning.agreed import Agreed
from monitor.services.planning.agreeing import UNNAMED, mark_of
from monitor.services.planning.rounds import RoundPlan


def agreed_list(agreed: Sequence[Agreed]) -> Component:
    """Rounds from today on, each with a link to its own page."""
    if not agreed:
        return html.P("No round is agreed yet.", className="quiet")
    items = [
        entry(
            [dcc.Link(f"{one.round.planned_on:%a} {day(one.round.planned_on)}",
                      href=f"/rounds/{one.round.root_id}")],
            [
                html.P(
                    f"{one.round.person}: {counted(len(one.stops), 'visit')}, "
                    f"{clock(one.round.leaves_min)} to {clock(one.round.back_min)}."
                ),
                html.P(", ".join(one.codes), className="quiet"),
            ],
        )
        for one in agreed
    ]  # fmt: skip
    return html.Section([html.H2("Agreed rounds"), entries(items)], className="part")


def agree_form(made: RoundPlan, search: str) -> Component:
    """A button that keeps just the plan that is shown."""
    if any(one.name.startswith(UNNAMED) for one in made.wish.people):
        return html.P(
            "To agree these rounds, say below by name who goes.", className="quiet"
        )
    return html.Form(
        [
            dcc.Input(type="hidden", name="search", value=search),
            dcc.Input(type="hidden", name="mark", value=mark_of(made)),
            html.Div(html.Button("Agree these rounds", type="submit"), className="ask"),
            html.P(
                "They are kept, and shown in the calendars of who goes. A round that "
                "is agreed already and planned anew here is changed.",
                className="hint",
            ),
        ],
        action="/rounds/agree",
        method="post",
        className="agree",
    )


def taken_list(made: RoundPlan) -> Component:
    """Visits that are not planned here because somebody else makes them."""
    return entries(
        [
            support_entry(
                code,
                f"{one.round.person}, {day(one.round.planned_on)}",
                "It is in an agreed round.",
            )
            for code, one in sorted(made.agreed.taken.items())
        ]
    )


def travel_part(table: TravelTable | None, *, may_change: bool) -> Component:
    """The house's own table of ways, and the form that replaces it."""
    parts: list[Component] = [html.Summary("Your own table of ways"), _told(table)]
    if may_change:
        parts.append(_upload())
        if table is not None:
            parts.append(one_button("/rounds/travel/drop", "Use it no more"))
    return html.Details(parts, className="part")


def _told(table: TravelTable | None) -> Component:
    if table is None:
        return html.P(
            "There is none: ways are reckoned from the straight line.",
            className="quiet",
        )
    unit = {"min": "minutes", "km": "kilometres"}[table.unit]
    return html.P(
        f"{sentence(counted(len(table.ways), 'way'))} in {unit} from "
        f"{table.file_name}, kept by {table.recorded_by} on "
        f"{day(table.recorded_at.date())}. Every plan uses it.",
        className="quiet",
    )


def _upload() -> Component:
    return html.Form(
        [
            html.P(
                "A CSV or XLSX file, either with three columns, from, to and minutes "
                "(or km), or square with the codes of sites above and beside and the "
                "unit in the first cell. It is checked against the map: a way shorter "
                "or faster than can be is refused.",
                className="hint",
            ),
            html.Div(**data(accept=".csv,.xlsx", name="table")),
            html.Div(html.Button("Check and keep", type="submit"), className="ask"),
        ],
        action="/rounds/travel",
        method="post",
        encType="multipart/form-data",
    )
