"""Fields of forms: a label, the field, a hint."""

from collections.abc import Sequence
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

FieldId = str | dict[str, str]


def field(label: str, control: Component, *, key: FieldId, hint: str = "") -> Component:
    """A labelled field."""
    parts: list[Component] = [html.Label(label, htmlFor=html_id(key)), control]
    if hint:
        parts.append(html.P(hint, className="hint"))
    return html.Div(parts, className="field")


def choice_field(label: str, control: Component) -> Component:
    """A labelled choice of a few."""
    return html.Fieldset([html.Legend(label), control], className="field")


def html_id(key: FieldId) -> str:
    """The id a browser sees: Dash writes composed ids as sorted JSON."""
    if isinstance(key, str):
        return key
    inside = ",".join(f'"{name}":"{key[name]}"' for name in sorted(key))
    return "{" + inside + "}"


def text_input(key: FieldId, *, value: str = "", listed_in: str = "") -> dcc.Input:
    """A line of text."""
    more: dict[str, Any] = {"list": listed_in} if listed_in else {}
    return dcc.Input(
        id=key, value=value, type="text", debounce=True, autoComplete="off", **more
    )


def choice(
    key: FieldId, options: Sequence[str | dict[str, str]], *, value: str = ""
) -> dcc.RadioItems:
    """One of a few, all in sight."""
    return dcc.RadioItems(
        id=key, options=list(options), value=value, inline=True, className="choices"
    )
