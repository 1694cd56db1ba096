"""What a support carries over what is allowed, through the years; screening only."""

from dash import Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component

from dashboard.components.alerts import shown_as_alert
from dashboard.components.entries import support_address
from dashboard.components.margin_parts import member_part
from dashboard.components.margin_what_if import IDS, answer, what_if_form
from dashboard.components.text import sentence
from dashboard.context import AppContext
from monitor.domain.percent import chance
from monitor.services.margins.member_margin import MemberMargin
from monitor.services.margins.told import with_bounds
from monitor.services.margins.view import MarginView, margin_view
from monitor.services.margins.what_if import compare, question_of
from monitor.services.showing.support import find_support

NAME, PATH = "margin", "/supports/<code>/margin"
QUERY: tuple[str, ...] = ()
_FIELDS = ("wall", "lean", "load", "soil", "replumbed")


def title(code: str = "") -> str:
    """Title of the page."""
    return f"Margin of {code}" if code else "Margin"


@shown_as_alert
def layout(context: AppContext, code: str = "") -> Component:
    """The answer, each member through the years, and what if."""
    if not code:
        return html.Article(what_if_form(None))
    now = context.clock.now()
    with context.store.read_session() as session:
        view = margin_view(session, find_support(session, code).id, now)
    parts: list[Component] = [
        html.P(
            dcc.Link(view.support.code, href=support_address(view.support.code)),
            className="dateline",
        ),
        html.H1(headline(view)),
        html.P(view.caution, className="caution"),
        *(
            member_part(margin, review)
            for margin, review in zip(view.members, view.reviews, strict=True)
        ),
    ]
    if view.members:
        parts.append(what_if_form(view))
    return html.Article(parts, className="margins")


def register(app: Dash, context: AppContext) -> None:
    """Answering what if; nothing is written."""

    @app.callback(
        Output(IDS.answer, "children"),
        Input(IDS.ask, "n_clicks"),
        State(IDS.support, "data"),
        State(IDS.member, "value"),
        *(State(getattr(IDS, name), "value") for name in _FIELDS),
        prevent_initial_call=True,
    )
    def ask(
        _: int, support: str, member: str, *typed: str | None
    ) -> Component:  # numbers as typed
        return _answered(context, (support, member), typed)


@shown_as_alert
def _answered(
    context: AppContext, place: tuple[str, str], typed: tuple[str | None, ...]
) -> Component:
    words = {name: text or "" for name, text in zip(_FIELDS, typed, strict=True)}
    question = question_of(words)
    if question.is_empty:
        return html.P("Nothing is asked yet: fill one of the fields.")
    code, member = place
    with context.store.read_session() as session:
        key = find_support(session, code).id
        compared = compare(session, (key, member), question, context.clock.now())
    return answer(compared)


def headline(view: MarginView) -> str:
    """What the member in the narrowest place carries, in one sentence."""
    told = [margin for margin in view.members if not margin.refused]
    if not view.members:
        return f"Nothing of {view.support.code} stands any more."
    if not told:
        return "No margin can be told yet."
    worst = max(told, key=_narrowness)
    now = worst.at(0.0)
    name = sentence(worst.case.known.label)
    carries = f"{name} carries {with_bounds(worst)} of what is allowed"
    if worst.use[now] > 1.0:
        return f"{carries}, by screening."
    ahead = ", and stays within it for the years ahead."
    if worst.early_on is not None and worst.early_on > view.today:
        ahead = f"; it may carry more by {worst.early_on.year}."
    elif worst.early_on is not None:
        ahead = f", and more with {chance(worst.over_one[now])} probability."
    return f"{carries}{ahead}"


def _narrowness(margin: MemberMargin) -> tuple[float, float]:
    return -margin.early_years, margin.use[margin.at(0.0)]
