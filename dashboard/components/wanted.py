"""The readings to take, mark by mark: last value, expectation, field."""

from collections.abc import Sequence
from itertools import groupby

from dash import html
from dash.development.base_component import Component

from dashboard.components.attributes import aria
from dashboard.components.form import choice, html_id, text_input
from dashboard.components.text import between, day, sentence
from monitor.domain.methods import METHODS
from monitor.domain.vocabulary import Answer
from monitor.services.showing.record import WantedReading
from monitor.units import show, unit_sign

METHOD_LIST = "record-methods"
_ANSWERS: list[str | dict[str, str]] = [
    {"label": "read", "value": ""},
    {"label": "could not reach", "value": Answer.COULD_NOT_REACH.value},
    {"label": "not measured", "value": Answer.NOT_MEASURED.value},
]


def wanted_parts(wanted: Sequence[WantedReading]) -> list[Component]:
    """Every mark with its usual readings, the rare ones folded away."""
    methods = html.Datalist(
        [html.Option(value=name) for name in METHODS], id=METHOD_LIST
    )
    parts: list[Component] = [methods]
    for (member, mark), group in groupby(wanted, key=lambda w: (w.member, w.mark)):
        readings = list(group)
        usual = [_reading(w) for w in readings if w.is_usual]
        rare = [_reading(w) for w in readings if not w.is_usual]
        inside: list[Component] = [html.H3(f"{member}, {mark}"), *usual]
        if rare:
            summary = html.Summary("Something else read here")
            inside.append(html.Details([summary, *rare]))
        parts.append(html.Section(inside, className="mark"))
    return parts


def field_id(part: str, wanted: WantedReading) -> dict[str, str]:
    """Id of a field of one reading; Dash allows no dot in it."""
    return {"type": f"record-{part}", "key": wanted.key}


def _reading(wanted: WantedReading) -> Component:
    quantity = wanted.quantity
    key = field_id("value", wanted)
    last = wanted.last
    return html.Div(
        [
            html.Div(
                [
                    html.Label(sentence(quantity.label), htmlFor=html_id(key)),
                    html.P(_before(wanted), className="hint"),
                ],
                className="reading-words",
            ),
            html.Div(
                [
                    text_input(key),
                    html.Span(unit_sign(quantity.unit), className="unit"),
                    html.Div(
                        [
                            html.Label("How", htmlFor=html_id(
                                field_id("method", wanted))),
                            text_input(
                                field_id("method", wanted),
                                value=last.method if last else "",
                                listed_in=METHOD_LIST,
                            ),
                        ],
                        className="how",
                    ),
                    html.Div(
                        choice(field_id("answer", wanted), _ANSWERS),
                        role="group",
                        className="answers",
                        **aria(label=f"{quantity.label}: read or not"),
                    ),
                    html.Div(
                        [
                            html.Label("Why not", htmlFor=html_id(
                                field_id("why", wanted))),
                            text_input(field_id("why", wanted)),
                        ],
                        className="why",
                    ),
                ],
                className="reading-fields",
            ),
        ],
        className="reading",
    )  # fmt: skip


def _before(wanted: WantedReading) -> str:
    """What was read last and what is expected now."""
    quantity, last = wanted.quantity, wanted.last
    words = [f"{sentence(quantity.sign)}."]
    if last is None:
        words.append("Not read here before.")
    else:
        words.append(f"Last {show(last.value, quantity.unit)} on {day(last.on)}.")
    if wanted.expected is not None:
        low, high = wanted.expected
        words.append(f"Expected {between(low, high, quantity.unit)}.")
    return " ".join(words)
