"""What forms from the field want decided, each with its choices."""

from collections.abc import Sequence
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.entries import entries, entry, headed, record_address
from dashboard.components.form import html_id
from dashboard.components.text import counted, day, sentence
from monitor.domain.field_tasks import FieldTask, TaskKind
from monitor.services.field.answers import Question

SEEN = {
    TaskKind.CLOCK: "The day is right",
    TaskKind.ANOTHER: "Seen; both stand",
    TaskKind.WORK: "Seen; the readings are right",
    TaskKind.PHOTO: "Seen; no measure",
}


def tasks_line(tasks: Sequence[FieldTask]) -> Component | None:
    """On the first page: how many there are, and the first of them."""
    if not tasks:
        return None
    many = counted(len(tasks), "look from the field wants", "looks from the field want")
    items = [
        entry(
            html.Span(task.kind.value, className="margin-word"),
            [html.P([task.sentence + " ", dcc.Link("Decide", href="/decide")])],
        )
        for task in tasks[:3]
    ]
    return headed(
        "From the field", [html.P(f"{sentence(many)} deciding."), entries(items)]
    )


def task_part(
    task: FieldTask, question: Question | None, ways: Sequence[Component]
) -> Component:
    """One task: what it is about, what came, and the ways on."""
    lines: list[Component] = [html.P(task.sentence)]
    if task.kind is TaskKind.SET_ASIDE:
        lines += _what_came(task.content)
        lines += [html.P(question.sentence)] if question else []
    lines.append(
        html.P(f"It came on {day(task.recorded_at.date())}.", className="quiet")
    )
    heading = html.H2(f"{task.support}: {task.kind.value}")
    return html.Section([heading, *lines, *ways], className="part")


def ways_on(task: FieldTask, question: Question | None) -> list[Component]:
    """What can be decided, for who may."""
    key = str(task.id)
    if task.kind is not TaskKind.SET_ASIDE:
        return [html.P([_button(key, "seen", SEEN[task.kind]), *_amend(task)])]
    buttons: list[Component] = []
    if question is None:
        buttons.append(_button(key, "0", "Record it as it is"))
    elif question.about != "support":
        buttons += [
            _button(key, str(n), choice.label)
            for n, choice in enumerate(question.choices)
        ]
    by_hand = dcc.Link("Enter it by hand", href=record_address(task.support))
    reason = {"type": "decide-reason", "task": key}
    return [
        html.P([*buttons, " ", by_hand]),
        html.Label("Why it is not taken into the record", htmlFor=html_id(reason)),
        dcc.Input(id=reason, type="text", value="", autoComplete="off"),
        html.P(_button(key, "no", "Leave it out, with this reason")),
    ]


def no_task() -> Component:
    """The shape of a way and a reason, for a page without a task."""
    reason = {"type": "decide-reason", "task": ""}
    return html.Div(
        [_button("", "", ""), dcc.Input(id=reason, type="text")], hidden=True
    )


def _amend(task: FieldTask) -> list[str | Component]:
    address = f"/supports/{task.support}"
    return [" ", dcc.Link(f"Open {task.support}", href=address)]


def _button(key: str, way: str, words: str) -> Component:
    return html.Button(
        words,
        id={"type": "decide-way", "task": key, "way": way},
        className="plain",
        n_clicks=0,
    )


def _what_came(content: Any) -> list[Component]:  # noqa: ANN401 - as it came
    """Readings, findings and note in the words of the form."""
    said = [
        " ".join(
            str(part.get(name, ""))
            for name in ("member", "mark", "quantity", "text", "unit", "answer", "why")
            if part.get(name)
        )
        for part in content.get("readings", ())
    ]
    said += [
        " ".join(
            str(part.get(name, ""))
            for name in ("member", "code", "grade", "note")
            if part.get(name)
        )
        for part in content.get("findings", ())
    ]
    if content.get("note"):
        said.append(f"Note: {content['note']}")
    photos = len(content.get("photos", ()))
    if photos:
        said.append(f"{sentence(counted(photos, 'photograph'))} kept with it.")
    lines = html.Ul([html.Li(line) for line in said])
    about = f"{content.get('inspector', '')}, {content.get('inspected_on', '')}"
    return [html.P(about, className="quiet"), lines]
