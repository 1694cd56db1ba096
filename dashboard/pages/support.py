"""The whole life of one support on one page."""

from types import SimpleNamespace
from urllib.parse import quote

from dash import Dash, Input, Output, dcc, html
from dash.development.base_component import Component

from dashboard.components.alerts import shown_as_alert
from dashboard.components.drawings import rail_drawing
from dashboard.components.entries import entries, entry, headed, record_address
from dashboard.components.life import (
    built_part,
    findings_part,
    history_parts,
)
from dashboard.components.margin_parts import margin_link
from dashboard.components.owed_works import works_entries
from dashboard.components.readings import plans_and_wounds, series_part
from dashboard.components.standing import standing_mark
from dashboard.components.tables import pairs
from dashboard.components.text import CAUTION, ago, day, listed, sentence
from dashboard.context import AppContext
from monitor.domain.scheduling import DeferralEntry
from monitor.domain.vocabulary import Standing
from monitor.schedule.due import lateness
from monitor.services.planning.deferrals import in_words, standing_deferrals
from monitor.services.planning.works import works_due
from monitor.services.showing import support as show_support
from monitor.services.showing.support import SupportReadings, SupportView

NAME, PATH = "support", "/supports/<code>"
QUERY: tuple[str, ...] = ()
IDS = SimpleNamespace(code="support-code", readings="support-readings")

_NOT_YET = "Nothing has been measured here yet."
_SAYS = {
    Standing.MAKE_SAFE: "must be made safe",
    Standing.ACT: "wants work",
    Standing.WATCH: "wants watching",
    Standing.HOLDING: "is holding",
}


def title(code: str = "") -> str:
    """Title of the page."""
    return code or "Support"


@shown_as_alert
def layout(context: AppContext, code: str = "") -> Component:
    """The answer, the readings, what was built, found and done."""
    if not code:
        return html.Article([dcc.Store(id=IDS.code), html.Div(id=IDS.readings)])
    with context.store.read_session() as session:
        view = show_support.support_in_words(session, code, context.clock.now())
        put_off = standing_deferrals(session, view.support)
        works = works_due(session, [view.support.id], today=view.place.today)
    return html.Article(
        [
            *_opening(view, put_off),
            *works_entries(works, view.place.today),
            dcc.Store(id=IDS.code, data=view.support.code),
            html.Div(_soon(view), id=IDS.readings),
            findings_part(view),
            built_part(view),
            *history_parts(view),
        ]
    )


def register(app: Dash, context: AppContext) -> None:
    """The readings are drawn once the words are there."""

    @app.callback(Output(IDS.readings, "children"), Input(IDS.code, "data"))
    @shown_as_alert
    def draw(code: str | None) -> Component:
        if not code:
            return html.Div()
        with context.store.read_session() as session:
            now = context.clock.now()
            found = show_support.support_readings(session, code, now)
        return html.Div([_readings(found), *_to_scale(found)])


def headline(view: SupportView) -> str:
    """How it stands, in one sentence."""
    code, removed_on = view.support.code, view.support.removed_on
    if removed_on is not None:
        return f"{code} was removed on {day(removed_on)}."
    if view.standing is None:
        return f"{code} has not been assessed yet."
    return f"{code} {_SAYS[view.standing.standing]}."


def _opening(view: SupportView, put_off: list[DeferralEntry]) -> list[Component]:
    support, place = view.support, view.place
    where = f"{place.site.name}, {place.tree.code}, {place.tree.species}"
    opening: list[Component] = [
        html.P(where, className="dateline"),
        html.H1(headline(view)),
    ]
    if support.removed_on is None and view.standing is not None:
        reasons = [html.P(reason) for reason in view.standing.reasons]
        opening.append(entries([entry(standing_mark(view.standing.standing), reasons)]))
    if view.due is not None and support.removed_on is None:
        opening.append(_next(view, put_off))
    opening.append(html.P(CAUTION, className="caution"))
    if support.removed_on is None:
        opening.append(margin_link(support.code))
        opening.append(_more_entries(support.code))
    opening.append(pairs(_about(view), label="About this support"))
    return opening


def _more_entries(code: str) -> Component:
    part = quote(code, safe="")
    work = dcc.Link("Record a work", href=f"/works/{part}")
    correction = dcc.Link("Correct a reading", href=f"/correct/{part}")
    return html.P([work, " · ", correction], className="no-print")


def _next(view: SupportView, put_off: list[DeferralEntry]) -> Component:
    due, today = view.due, view.place.today
    if due is None:
        return html.P("Nothing is owed.")
    reasons = html.Ul([html.Li(why) for _, _, why in due.reasons])
    window = html.P(lateness(due), className="quiet")
    late = html.Strong("Late. ") if today > due.late_on else ""
    return entries(
        [
            entry(
                html.Span("next look", className="margin-word"),
                [
                    html.P([late, due.sentence]),
                    *(html.P(in_words(one)) for one in put_off),
                    html.Details(
                        [html.Summary("Every rule that spoke"), reasons, window]
                    ),
                    html.P(
                        dcc.Link(
                            "Record an inspection",
                            href=record_address(view.support.code),
                            className="action",
                        )
                    ),
                ],
            )
        ]
    )


def _about(view: SupportView) -> list[tuple[str, str]]:
    support, place = view.support, view.place
    stand = [part.member for part in view.members if part.member.removed_on is None]
    last = view.visits[0] if view.visits else None
    items = [
        ("Why it is there", support.reason),
        ("Beneath it", f"{support.target}, {support.occupancy.value}, a failure would "
         f"be {support.consequence.value}"),
        ("Made of", listed([f"{m.kind.value} {m.code}" for m in stand])),
        ("In place since", day(support.installed_on)
         + (f", by {view.installer}" if view.installer else "")),
        ("Last looked at", f"{day(last.inspected_on)} by {last.inspector}, "
         f"{ago(last.inspected_on, place.today)}" if last else "never"),
        ("Owner", place.owner),
        ("Access", place.site.access_note),
        ("Note", support.note),
    ]  # fmt: skip
    return [(name, sentence(value)) for name, value in items if value]


def _soon(view: SupportView) -> Component:
    """What stands in the place of the readings until they are drawn."""
    if not view.visits:
        return headed("Readings", [html.P(_NOT_YET)])
    return headed("Readings", [html.P("They are being drawn.", className="quiet")])


def _readings(view: SupportReadings) -> Component:
    if not view.series:
        return headed("Readings", [html.P(_NOT_YET)])
    legend = html.P(
        "Dots are readings, with bars of two standard deviations either way; a hollow "
        "dot is doubted, a small cross on the axis is a look that brought no number. "
        "All drawings share one time axis; dotted uprights are works after which a "
        "series starts anew.",
        className="quiet",
    )
    drawn = [series_part(view, s, first=n == 0) for n, s in enumerate(view.series)]
    return headed("Readings", [legend, *drawn, html.H3("Along the same years"),
                               rail_drawing(view), *_flag_list(view)])  # fmt: skip


def _flag_list(view: SupportReadings) -> list[Component]:
    if not view.flags:
        return [html.P("No works and no events so far.", className="quiet")]
    items = [
        html.Li(
            [
                html.Strong(sentence(flag.label)),
                f", {day(flag.on)}. {flag.note}",
            ],
            value=str(flag.number),
        )
        for flag in view.flags
    ]
    return [html.Ol(items, className="flags")]


def _to_scale(view: SupportReadings) -> list[Component]:
    drawn = plans_and_wounds(view)
    if not drawn:
        return []
    return [headed("Drawn to scale", [html.Div(drawn, className="side-by-side")])]
