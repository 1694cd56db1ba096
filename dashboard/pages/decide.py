"""Forms from the field that want a decision: each with a clear choice."""

from types import SimpleNamespace
from typing import Any
from uuid import UUID

from dash import ALL, Dash, Input, Output, State, ctx, html, no_update
from dash.development.base_component import Component

from dashboard.access import signed_in
from dashboard.components.alerts import shown_as_alert
from dashboard.components.field_tasks import no_task, task_part, ways_on
from dashboard.components.offered import is_offered
from dashboard.components.text import counted, sentence
from dashboard.context import AppContext
from monitor.domain.field_tasks import FieldTask, Settled, TaskKind
from monitor.domain.rights import Right
from monitor.errors import NotAllowed
from monitor.services.field.answers import Answer, Question, Receipt
from monitor.services.field.office import record_set_aside, what_stands_in_the_way
from monitor.services.field.submission import assess_received
from monitor.services.field.tasks import open_task, open_tasks, settle
from monitor.services.recording.checks import Stamp
from monitor.store.photos import PhotoFiles

NAME, PATH = "decide", "/decide"
QUERY: tuple[str, ...] = ()
IDS = SimpleNamespace(answer="decide-answer")
ONLY_READS = "This account reads the record; who adds to it decides these."


def title() -> str:
    """Title of the page."""
    return "From the field"


@shown_as_alert
def layout(context: AppContext) -> Component:
    """Every open task with its ways on."""
    stamp = Stamp("", context.clock.now())
    with context.store.read_session() as session:
        found = [
            (task, _question(session, task, stamp)) for task in open_tasks(session)
        ]
    may_decide = is_offered(Right.RECORD)
    ways = ways_on if may_decide else _no_ways
    parts = [task_part(task, q, ways(task, q)) for task, q in found]
    return html.Article(
        [
            html.H1(headline(len(parts))),
            *([] if may_decide or not parts else [html.P(ONLY_READS)]),
            html.Div(id=IDS.answer, role="status"),
            *parts,
            *([] if may_decide and parts else [no_task()]),
        ]
    )


def register(app: Dash, context: AppContext) -> None:
    """Taking one of the ways."""

    @app.callback(
        Output(IDS.answer, "children"),
        inputs={
            "clicks": Input({"type": "decide-way", "task": ALL, "way": ALL}, "n_clicks")
        },
        state={
            "asked": State({"type": "decide-reason", "task": ALL}, "id"),
            "reasons": State({"type": "decide-reason", "task": ALL}, "value"),
        },
        prevent_initial_call=True,
    )
    def decide(
        clicks: list[int], asked: list[dict[str, str]], reasons: list[str | None]
    ) -> object:
        if not any(clicks) or not isinstance(ctx.triggered_id, dict):
            return no_update
        reason = ""
        for key, value in zip(asked, reasons, strict=True):
            if key["task"] == ctx.triggered_id["task"]:
                reason = value or ""
        return _decided(context, ctx.triggered_id, reason)


def headline(count: int) -> str:
    """How many wait."""
    if not count:
        return "Nothing from the field wants deciding."
    many = counted(count, "look from the field wants", "looks from the field want")
    return f"{sentence(many)} deciding."


def _no_ways(_: FieldTask, __: Question | None) -> list[Component]:
    return []


def _question(session: Any, task: FieldTask, stamp: Stamp) -> Question | None:  # noqa: ANN401
    if task.kind is not TaskKind.SET_ASIDE:
        return None
    return what_stands_in_the_way(session, task, stamp)


@shown_as_alert
def _decided(context: AppContext, way: dict[str, Any], reason: str) -> Component:
    if not signed_in().may_record:
        raise NotAllowed("This account reads the record and does not add to it.")
    key, chosen = UUID(str(way["task"])), str(way["way"])
    stamp = Stamp(signed_in().account.name, context.clock.now())
    if chosen in {"seen", "no"}:
        how = Settled.SEEN if chosen == "seen" else Settled.NOT_TAKEN
        with context.store.write_session() as session:
            settle(session, key, how, stamp, reason=reason)
        return _done("Decided.")
    return _told(_recorded(context, key, int(chosen), stamp))


def _recorded(context: AppContext, key: UUID, chosen: int, stamp: Stamp) -> Answer:
    files = PhotoFiles(context.settings.photo_folder)
    with context.store.write_session() as session:
        task = open_task(session, key)
        question = what_stands_in_the_way(session, task, stamp)
        changes = question.choices[chosen].changes if question else {}
        answer = record_set_aside(session, files, (key, changes), stamp)
    if isinstance(answer, Receipt):
        with context.store.write_session() as session:
            assess_received(session, answer, now=stamp.now)
    return answer


def _told(answer: Answer) -> Component:
    if isinstance(answer, Receipt):
        return _done(answer.sentence)
    if isinstance(answer, Question):
        return _done(f"Not recorded yet. {answer.sentence}")
    return _done("A photograph of it is missing here; nothing was recorded.")


def _done(said: str) -> Component:
    return html.P([f"{said} ", html.A("Show what is left", href=PATH)])
