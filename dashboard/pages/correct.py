"""Correcting a reading, or withdrawing it, with the reason."""

from types import SimpleNamespace
from typing import Any

from dash import Dash, Input, Output, State, ctx, dcc, html
from dash.development.base_component import Component

from dashboard.access import signed_in
from dashboard.components.alerts import shown_as_alert
from dashboard.components.entries import support_address
from dashboard.components.form import field, text_input
from dashboard.context import AppContext
from monitor.errors import InvalidInput, NotAllowed
from monitor.services.assessing.assess import assess
from monitor.services.drafting.correction import WITHDRAWN
from monitor.services.recording.amend import correct_reading
from monitor.services.recording.checks import Stamp
from monitor.services.recording.commands import ReadingCorrection
from monitor.services.showing.previews import (
    Correctable,
    correctable,
    correction_in_words,
)
from monitor.services.showing.support import find_support
from monitor.store import Session

NAME, PATH = "correct", "/correct/<code>"
QUERY: tuple[str, ...] = ()
FIELDS = ("support", "which", "text", "reason")
IDS = SimpleNamespace(
    **{
        name: f"correct-{name}"
        for name in (*FIELDS, "ask", "save", "withdraw", "answer")
    }
)


def title(code: str = "") -> str:
    """Title of the page."""
    return f"Correct {code}".strip()


@shown_as_alert
def layout(context: AppContext, code: str = "") -> Component:
    """The form for one support; without a code, its empty shape."""
    if not code:
        return _form("", ())
    _recorder()
    with context.store.read_session() as session:
        return _form(code, correctable(session, code))


def register(app: Dash, context: AppContext) -> None:
    """Showing what would stand, correcting, withdrawing."""

    @app.callback(
        Output(IDS.answer, "children"),
        inputs={
            "_": (
                Input(IDS.ask, "n_clicks"),
                Input(IDS.save, "n_clicks"),
                Input(IDS.withdraw, "n_clicks"),
            )
        },
        state={
            "filled": {
                name: State(
                    getattr(IDS, name), "data" if name == "support" else "value"
                )
                for name in FIELDS
            }
        },
        prevent_initial_call=True,
    )
    def answer(_: object, filled: dict[str, Any]) -> Component:
        if ctx.triggered_id == IDS.ask:
            return _asked(context, filled)
        is_gone = ctx.triggered_id == IDS.withdraw
        return _corrected(context, filled | ({"text": WITHDRAWN} if is_gone else {}))


@shown_as_alert
def _asked(context: AppContext, filled: dict[str, Any]) -> Component:
    stamp = Stamp(_recorder(), context.clock.now())
    with context.store.read_session() as session:
        said = correction_in_words(session, _command(session, filled), stamp)
    return html.Div(
        [html.P("Nothing is written yet.", className="quiet"), *map(html.P, said)]
    )


@shown_as_alert
def _corrected(context: AppContext, filled: dict[str, Any]) -> Component:
    actor, now = _recorder(), context.clock.now()
    with context.store.write_session() as session:
        command = _command(session, filled)
        correct_reading(session, command, actor=actor, now=now)
        assess(session, [find_support(session, command.support).id], now=now)
    code = command.support
    link = dcc.Link(f"See {code}", href=support_address(code), className="action")
    said = "Corrected. What it said stays readable, with your reason."
    return html.Div([html.P(said, className="lead"), html.P(link)])


def _command(session: Session, filled: dict[str, Any]) -> ReadingCorrection:
    words = {name: str(filled[name] or "").strip() for name in FIELDS}
    rows = {row.words: row for row in correctable(session, words["support"])}
    which = rows.get(words["which"])
    if which is None:
        raise InvalidInput("Choose which reading.", field="which", code="rec-009")
    return ReadingCorrection(
        support=words["support"],
        on=which.on,
        quantity=which.quantity,
        text=words["text"],
        reason=words["reason"],
        member=which.member,
        mark=which.mark,
        repeat=which.repeat,
        inspector=which.inspector,
    )


def _form(code: str, rows: tuple[Correctable, ...]) -> Component:
    fields = [
        field("Which reading", dcc.Dropdown(id=IDS.which,
              options=[row.words for row in rows]), key=IDS.which),
        field("What it should have said", text_input(IDS.text), key=IDS.text,
              hint="With its unit, such as 14 mm."),
        field("Why", text_input(IDS.reason), key=IDS.reason,
              hint="Stays with the correction."),
    ]  # fmt: skip
    buttons = [
        html.Button("Correct it", id=IDS.save, type="button"),
        html.Button("Show what changes", id=IDS.ask, type="button", className="second"),
        html.Button(
            "Withdraw it: it was never read", id=IDS.withdraw, type="button",
            className="second",
        ),
    ]  # fmt: skip
    return html.Article(
        [
            html.H1(f"Correct a reading of {code}." if code else "Correct a reading."),
            html.P(
                "Nothing is edited away: the correction stands in its place, and both "
                "stay readable.",
                className="quiet",
            ),
            dcc.Store(id=IDS.support, data=code),
            html.Div(fields),
            html.Div(buttons, className="ask buttons"),
            html.Div(id=IDS.answer, role="status"),
        ]
    )


def _recorder() -> str:
    if not signed_in().may_record:
        raise NotAllowed("This account reads the record and does not add to it.")
    return signed_in().account.name
