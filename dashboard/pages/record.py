"""Recording one inspection: what was read, found, and could not be reached."""

from types import SimpleNamespace
from typing import Any

from dash import ALL, Dash, Input, Output, Patch, State, dcc, html, no_update
from dash.development.base_component import Component
from flask import has_request_context

from dashboard.access import signed_in
from dashboard.components.alerts import from_error, shown_as_alert
from dashboard.components.entries import support_address
from dashboard.components.form import choice, choice_field, field, text_input
from dashboard.components.inspection_form import Filled, command_from, finding_row
from dashboard.components.standing import standing_mark
from dashboard.components.text import day
from dashboard.components.wanted import wanted_parts
from dashboard.context import AppContext
from monitor.clock import new_id
from monitor.domain.vocabulary import InspectionKind, LeafState
from monitor.errors import MonitorError, NotAllowed
from monitor.services.assessing.assess import assess
from monitor.services.recording.checks import Doubt
from monitor.services.recording.commands import InspectionCommand
from monitor.services.recording.record import record_inspection, review_inspection
from monitor.services.showing import record as show_record
from monitor.services.showing import support as show_support
from monitor.services.showing.record import RecordView

NAME, PATH = "record", "/record/<code>"
QUERY: tuple[str, ...] = ()
IDS = SimpleNamespace(
    support="record-support",
    key="record-key",
    on="record-on",
    inspector="record-inspector",
    kind="record-kind",
    leaf="record-leaf",
    air="record-air",
    note="record-note",
    findings="record-findings",
    another="record-another",
    sure="record-sure",
    questions="record-questions",
    save="record-save",
    answer="record-answer",
    form="record-form",
    recorded="record-recorded",
    meaning="record-meaning",
)
_Saved = tuple[Component, Component, str, Any]
_PER_READING = ("value", "answer", "why", "method")
_PER_FINDING = ("code", "grade", "member", "note")


def title(code: str = "") -> str:
    """Title of the page."""
    return f"Record {code}".strip()


@shown_as_alert
def layout(context: AppContext, code: str = "") -> Component:
    """The form for one support; without a code, its empty shape."""
    if not code:
        return _form(None)
    if not signed_in().may_record:
        raise NotAllowed("This account reads the record and does not add to it.")
    with context.store.read_session() as session:
        view = show_record.to_record(session, code, context.clock.now())
    return _form(view)


def register(app: Dash, context: AppContext) -> None:
    """Saving, and one more finding."""

    @app.callback(
        Output(IDS.findings, "children"),
        Input(IDS.another, "n_clicks"),
        State(IDS.support, "data"),
        prevent_initial_call=True,
    )
    def one_more(n: int, support: dict[str, Any]) -> Patch:
        rows = Patch()
        rows.append(finding_row(n, support["members"]))
        return rows

    @app.callback(
        Output(IDS.answer, "children"),
        Output(IDS.questions, "children"),
        Output(IDS.form, "className"),
        Output(IDS.recorded, "data"),
        inputs={"_": Input(IDS.save, "n_clicks")},
        state={
            "head": {
                name: State(getattr(IDS, name), prop)
                for name, prop in (
                    ("support", "data"), ("key", "data"), ("on", "date"),
                    ("inspector", "value"), ("kind", "value"), ("leaf", "value"),
                    ("air", "value"), ("note", "value"), ("sure", "value"),
                )
            },
            "readings": {
                part: State({"type": f"record-{part}", "key": ALL}, "value")
                for part in _PER_READING
            },
            "keys": State({"type": "record-value", "key": ALL}, "id"),
            "findings": {
                part: State({"type": f"record-finding-{part}", "row": ALL}, "value")
                for part in _PER_FINDING
            },
        },
        prevent_initial_call=True,
    )  # fmt: skip
    def save(_: int, **filled: Any) -> _Saved:  # noqa: ANN401 - form fields
        return _save(context, filled)

    @app.callback(
        Output(IDS.meaning, "children"),
        Input(IDS.recorded, "data"),
        prevent_initial_call=True,
    )
    @shown_as_alert
    def look_again(code: str) -> Component:
        return _meaning(context, code)


def _save(context: AppContext, filled: dict[str, Any]) -> _Saved:
    asked: tuple[Doubt, ...] = ()
    try:
        if not signed_in().may_record:
            raise NotAllowed("This account reads the record and does not add to it.")
        command = command_from(Filled(**filled))
        with context.store.read_session() as session:
            asked = review_inspection(session, command, now=context.clock.now())
        if asked:
            words = "Nothing is written yet. Please look at the questions above the "
            said = _said(words + "button, then press it again.")
            return said, _sure(asked), "", no_update
        now, actor = context.clock.now(), signed_in().account.name
        with context.store.write_session() as session:
            record_inspection(session, command, actor=actor, now=now)
    except MonitorError as error:
        return from_error(error), _sure(asked), "", no_update
    return _done(command), _sure(()), "done", command.support


def _meaning(context: AppContext, code: str) -> Component:
    """Look at once what the new readings mean; the record is safe whatever comes."""
    now = context.clock.now()
    with context.store.read_session() as session:
        found = show_support.find_support(session, str(code))
    with context.store.write_session() as session:
        assess(session, [found.id], now=now)
        standing = show_support.standing_of(session, found)
    if standing is None:
        return html.P("")
    return html.P([f"{found.code} now stands at: ", standing_mark(standing.standing)])


def _said(words: str) -> Component:
    return html.P(words, className="refusal", role="alert")


def _done(command: InspectionCommand) -> Component:
    return html.Div(
        [
            html.P(
                f"Recorded: {command.support}, {day(command.inspected_on)}. "
                "It can be corrected later; what was written stays readable.",
                className="lead",
            ),
            html.P(
                dcc.Link(
                    f"See what it says of {command.support}",
                    href=support_address(command.support),
                    className="action",
                )
            ),
        ],
        role="status",
    )


def _sure(doubts: tuple[Doubt, ...]) -> Component:
    """The questions, each with a box to say that it is so."""
    boxes = dcc.Checklist(
        id=IDS.sure,
        options=[
            {"label": f"{doubt.question} Yes, it is so.", "value": doubt.key}
            for doubt in doubts
        ],
        value=[],
        className="questions",
    )
    if not doubts:
        return html.Div(boxes)
    return html.Div([html.H2("Are you sure?"), boxes])


def _form(view: RecordView | None) -> Component:
    return html.Article(
        [
            *_opening(view),
            html.Div(
                [
                    *_hidden(view),
                    _head(view),
                    html.H2("Readings"),
                    html.P(
                        "Type a number with its unit, such as 14 mm, 3/8 in or 1.2°. "
                        "What is left empty says nothing.",
                        className="quiet",
                    ),
                    *wanted_parts(view.wanted if view else ()),
                    html.H2("Findings"),
                    html.Div(
                        [finding_row(0, list(view.members) if view else [])],
                        id=IDS.findings,
                    ),
                    html.Button(
                        "One more finding", id=IDS.another, className="plain",
                        type="button",
                    ),
                    field(
                        "Note",
                        dcc.Textarea(id=IDS.note, value="", rows=4),
                        key=IDS.note,
                    ),
                    html.Div(_sure(()), id=IDS.questions),
                ],
                id=IDS.form,
            ),
            html.Div(id=IDS.answer),
            html.Div(id=IDS.meaning, role="status"),
            html.Div(
                html.Button("Record this inspection", id=IDS.save, type="button"),
                className="thumb",
            ),
        ],
        className="record",
    )  # fmt: skip


def _opening(view: RecordView | None) -> list[Component]:
    if view is None:
        return []
    support, place = view.support, view.place
    where = f"{place.site.name}, {place.tree.code}, {place.tree.species}"
    opening: list[Component] = [
        html.P(where, className="dateline"),
        html.H1(
            ["Look at ", dcc.Link(support.code, href=support_address(support.code))]
        ),
    ]
    if view.due is not None:
        opening.append(html.P(view.due.sentence, className="lead"))
    if place.site.access_note:
        opening.append(html.P(f"Access: {place.site.access_note}", className="quiet"))
    return opening


def _hidden(view: RecordView | None) -> list[Component]:
    members = list(view.members) if view else []
    code = view.support.code if view else ""
    return [
        dcc.Store(id=IDS.support, data={"code": code, "members": members}),
        dcc.Store(id=IDS.key, data=str(new_id())),
        dcc.Store(id=IDS.recorded),
    ]


def _usual_kind(view: RecordView | None) -> str:
    """What is owed; the first look at a support is its baseline."""
    if view is not None and all(wanted.last is None for wanted in view.wanted):
        return InspectionKind.BASELINE.value
    owed = view.due.kind if view and view.due else InspectionKind.ROUTINE
    return owed.value


def _head(view: RecordView | None) -> Component:
    today = view.place.today.isoformat() if view else None
    kinds = [
        kind.value for kind in InspectionKind if kind is not InspectionKind.BASELINE
    ]
    kind = _usual_kind(view)
    inspector = signed_in().account.name if has_request_context() and view else ""
    return html.Div(
        [
            field(
                "Day",
                dcc.DatePickerSingle(
                    id=IDS.on, date=today, display_format="D MMMM YYYY",
                    max_date_allowed=today, first_day_of_week=1,
                ),
                key=IDS.on,
            ),
            field("Inspector", text_input(IDS.inspector, value=inspector),
                  key=IDS.inspector),
            choice_field(
                "Kind of look",
                choice(IDS.kind, ["baseline", *kinds], value=kind),
            ),
            choice_field("Leaves", choice(IDS.leaf, [
                *({"label": leaf.value, "value": leaf.value} for leaf in LeafState),
                {"label": "not noted", "value": ""},
            ])),
            field("Air temperature", text_input(IDS.air), key=IDS.air,
                  hint="In °C, or as you type it."),
        ],
        className="head-fields",
    )  # fmt: skip
