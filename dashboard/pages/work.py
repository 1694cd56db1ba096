"""Recording a work: what was done, what starts anew, which findings it ends."""

from types import SimpleNamespace
from typing import Any

from dash import Dash, Input, Output, State, ctx, dcc, html
from dash.development.base_component import Component

from dashboard.access import signed_in
from dashboard.components.alerts import shown_as_alert
from dashboard.components.entries import support_address
from dashboard.components.event_form import day_of
from dashboard.components.form import field, text_input
from dashboard.components.text import day, sentence
from dashboard.context import AppContext
from monitor.clock import local_date
from monitor.domain.vocabulary import WorkKind
from monitor.errors import NotAllowed
from monitor.services.assessing.assess import assess
from monitor.services.recording.checks import LONGEST_TEXT, Stamp
from monitor.services.recording.commands import WorkCommand
from monitor.services.recording.works import record_work
from monitor.services.showing.previews import Workable, work_in_words, workable

NAME, PATH = "work", "/works/<code>"
QUERY: tuple[str, ...] = ()
FIELDS = ("support", "kind", "on", "by", "member", "closes", "note")
IDS = SimpleNamespace(
    **{name: f"work-{name}" for name in (*FIELDS, "ask", "save", "answer")}
)
_PROPERTY = {"support": "data", "on": "date"}
_NOBODY = Workable("", (), ())


def title(code: str = "") -> str:
    """Title of the page."""
    return f"Work on {code}".strip()


@shown_as_alert
def layout(context: AppContext, code: str = "") -> Component:
    """The form for one support; without a code, its empty shape."""
    today = local_date(context.clock.now(), context.settings.timezone)
    if not code:
        return _form(_NOBODY, today.isoformat())
    _recorder()
    with context.store.read_session() as session:
        found = workable(session, code, today=today)
    return _form(found, today.isoformat())


def register(app: Dash, context: AppContext) -> None:
    """Showing what it would do, and recording it."""

    @app.callback(
        Output(IDS.answer, "children"),
        inputs={"_": (Input(IDS.ask, "n_clicks"), Input(IDS.save, "n_clicks"))},
        state={
            "filled": {
                name: State(getattr(IDS, name), _PROPERTY.get(name, "value"))
                for name in FIELDS
            }
        },
        prevent_initial_call=True,
    )
    def answer(_: object, filled: dict[str, Any]) -> Component:
        act = _recorded if ctx.triggered_id == IDS.save else _asked
        return act(context, filled)


@shown_as_alert
def _asked(context: AppContext, filled: dict[str, Any]) -> Component:
    stamp = Stamp(_recorder(), context.clock.now())
    with context.store.read_session() as session:
        said = work_in_words(session, _command(filled), stamp)
    lines = [html.P("Nothing is written yet.", className="quiet"), *map(html.P, said)]
    return html.Div(lines)


@shown_as_alert
def _recorded(context: AppContext, filled: dict[str, Any]) -> Component:
    actor, now = _recorder(), context.clock.now()
    with context.store.write_session() as session:
        work = record_work(session, _command(filled), actor=actor, now=now)
        assess(session, [work.support_id], now=now)
    code = str(filled["support"])
    link = dcc.Link(f"See {code}", href=support_address(code), className="action")
    return html.Div(
        [
            html.P(
                f"Recorded: {work.kind.value} on {code}, {day(work.done_on)}. It can "
                "be corrected later; what was written stays readable.",
                className="lead",
            ),
            html.P(link),
        ]
    )


def _command(filled: dict[str, Any]) -> WorkCommand:
    words = {name: str(filled[name] or "").strip() for name in FIELDS}
    return WorkCommand(
        support=words["support"],
        done_on=day_of(words["on"]),
        kind=words["kind"],
        done_by=words["by"],
        member=words["member"],
        note=words["note"],
        closes=(words["closes"],) if words["closes"] else (),
    )


def _form(found: Workable, today: str) -> Component:
    kinds = {kind.value: sentence(kind.value) for kind in WorkKind}
    ends = {"all": "All that are open on it", **dict(found.open_findings)}
    rows = [
        field("What was done", dcc.Dropdown(id=IDS.kind, options=kinds,
              clearable=False), key=IDS.kind),
        field("Day", dcc.DatePickerSingle(id=IDS.on, date=today,
              display_format="D MMMM YYYY"), key=IDS.on),
        field("By whom", text_input(IDS.by), key=IDS.by),
        field("On which part", dcc.Dropdown(id=IDS.member, options=list(found.members),
              placeholder="all of it"), key=IDS.member),
        field("Findings it ends", dcc.Dropdown(id=IDS.closes, options=ends,
              placeholder="none"), key=IDS.closes),
        field("Note", dcc.Textarea(id=IDS.note, value="", rows=4,
              maxLength=LONGEST_TEXT), key=IDS.note),
    ]  # fmt: skip
    buttons = [
        html.Button("Record it", id=IDS.save, type="button"),
        html.Button("Show what it does", id=IDS.ask, type="button", className="second"),
    ]
    return html.Article(
        [
            html.H1(f"A work on {found.code}." if found.code else "A work."),
            html.P(
                "Series that the work moves start anew with the next reading; the old "
                "ones stay. A part that is replaced by a new one is recorded as "
                "removed, and the new one added in the register.",
                className="quiet",
            ),
            dcc.Store(id=IDS.support, data=found.code),
            html.Div(rows, className="head-fields"),
            html.Div(buttons, className="ask buttons"),
            html.Div(id=IDS.answer, role="status"),
        ]
    )


def _recorder() -> str:
    if not signed_in().may_record:
        raise NotAllowed("This account reads the record and does not add to it.")
    return signed_in().account.name
