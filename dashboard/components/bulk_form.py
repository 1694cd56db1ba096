"""Changing one thing of all supports that fit: looked at first, then done."""

from types import SimpleNamespace
from typing import Any

from dash import Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from dashboard.access import signed_in
from dashboard.components.alerts import from_error
from dashboard.components.form import choice, choice_field, field, text_input
from dashboard.components.tables import quiet_table
from dashboard.components.text import counted, sentence
from dashboard.context import AppContext
from monitor.domain.rights import Right
from monitor.errors import InvalidInput, MonitorError, NotAllowed
from monitor.services.recording.revise_many import (
    AT_ONCE,
    ManyRevision,
    Revised,
    review_revision,
    revise_many,
)
from monitor.services.showing.register_page import SupportSearch, found_codes

SHOWN = 12
IDS = SimpleNamespace(
    field="bulk-field",
    text="bulk-text",
    reason="bulk-reason",
    look="bulk-look",
    go="bulk-go",
    seen="bulk-seen",
    preview="bulk-preview",
    answer="bulk-answer",
)
_CHOICES = (
    ("occupancy", "Occupancy beneath"),
    ("consequence", "Consequence of a failure"),
    ("target", "What is beneath"),
    ("installer", "Who installed it"),
    ("interval", "Longest interval"),
    ("note", "Note"),
)
Shown = tuple[list[Component], Any, Any, dict[str, str]]
HIDDEN, OPEN = {"display": "none"}, {"display": "block"}


def bulk_form() -> Component:
    """The form, closed until it is wanted."""
    options = [{"label": label, "value": name} for name, label in _CHOICES]
    return html.Details(
        [
            html.Summary("Change one thing of all that fit"),
            choice_field("What", choice(IDS.field, options, value="occupancy")),
            html.Div(
                [
                    field("It is to be", text_input(IDS.text), key=IDS.text,
                          hint="A word, a name, or months such as 24."),
                    field("Reason", text_input(IDS.reason), key=IDS.reason,
                          hint="It stands in the ledger of each of them."),
                ],
                className="head-fields",
            ),
            html.Button("See what would change", id=IDS.look, type="button",
                        className="plain"),
            dcc.Store(id=IDS.seen),
            html.Div(id=IDS.preview, role="status"),
            html.Div(
                html.Button("Change them", id=IDS.go, type="button"),
                id=f"{IDS.go}-part", className="thumb", style=HIDDEN,
            ),
            html.Div(id=IDS.answer, role="status"),
        ],
        className="bulk no-print",
    )  # fmt: skip


def register(app: Dash, context: AppContext, search: str) -> None:
    """First the preview; what was seen there is what is changed."""

    @app.callback(
        Output(IDS.preview, "children"),
        Output(IDS.seen, "data"),
        Output(IDS.answer, "children"),
        Output(f"{IDS.go}-part", "style"),
        Input(IDS.look, "n_clicks"),
        State(search, "value"),
        State(IDS.field, "value"),
        State(IDS.text, "value"),
        State(IDS.reason, "value"),
        prevent_initial_call=True,
    )
    def look(
        _: int, words: str | None, name: str, text: str | None, reason: str | None
    ) -> Shown:
        return _look(context, words or "", (name, text or "", reason or ""))

    @app.callback(
        Output(IDS.answer, "children", allow_duplicate=True),
        Output(IDS.preview, "children", allow_duplicate=True),
        Output(f"{IDS.go}-part", "style", allow_duplicate=True),
        Input(IDS.go, "n_clicks"),
        State(IDS.seen, "data"),
        prevent_initial_call=True,
    )
    def go(_: int, seen: dict[str, Any] | None) -> tuple[Component, Any, Any]:
        return _go(context, seen or {})


def _look(context: AppContext, words: str, said: tuple[str, str, str]) -> Shown:
    try:
        _require_right()
        with context.store.read_session() as session:
            codes = found_codes(session, SupportSearch(words), most=AT_ONCE + 1)
            if len(codes) > AT_ONCE:
                raise InvalidInput(
                    f"More than {AT_ONCE} supports fit; narrow the search until no "
                    "more than that are found."
                )
            command = ManyRevision(codes, *said)
            revised = review_revision(session, command, now=context.clock.now())
    except MonitorError as error:
        return [from_error(error)], None, None, HIDDEN
    changed = [one for one in revised if one.is_change]
    if not changed:
        return [html.P("All of them say so already.")], None, None, HIDDEN
    seen = {"codes": [one.was.code for one in changed], "said": list(said)}
    return _preview(changed, len(revised)), seen, None, OPEN


def _preview(changed: list[Revised], looked_at: int) -> list[Component]:
    same = looked_at - len(changed)
    words = sentence(counted(len(changed), "support would", "supports would"))
    rest = f" {sentence(counted(same, 'other'))} of those found say so already."
    rows = [[one.was.code, one.before or "nothing", one.after] for one in changed]
    parts: list[Component] = [
        html.P(f"{words} change." + (rest if same else ""), className="lead"),
        quiet_table(["Code", "Now", "Would be"], rows[:SHOWN], caption="What changes"),
    ]
    if len(rows) > SHOWN:
        more = html.Summary(f"And {len(rows) - SHOWN} more")
        table = quiet_table(
            ["Code", "Now", "Would be"], rows[SHOWN:], caption="The rest"
        )
        parts.append(html.Details([more, table]))
    return parts


def _go(context: AppContext, seen: dict[str, Any]) -> tuple[Component, Any, Any]:
    try:
        _require_right()
        command = ManyRevision(
            tuple(seen.get("codes", ())), *seen.get("said", ("", ""))
        )
        now, actor = context.clock.now(), signed_in().account.name
        with context.store.write_session() as session:
            changed = revise_many(session, command, actor=actor, now=now)
    except MonitorError as error:
        return from_error(error), no_update, no_update
    words = sentence(counted(len(changed), "support was", "supports were"))
    said = f"{words} changed. The ledger keeps what each of them said before."
    return html.P(said, className="lead"), [], HIDDEN


def _require_right() -> None:
    if not signed_in().may(Right.KEEP_REGISTER):
        raise NotAllowed("This account does not change the register.")
