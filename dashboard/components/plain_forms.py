"""Forms on pages that are sent as plain HTML forms: they want no callback."""

from collections.abc import Sequence

from dash import dcc, html
from dash.development.base_component import Component


def plain_form(action: str, parts: Sequence[Component], button: str) -> html.Form:
    """A form with its button."""
    sends = html.Div(html.Button(button, type="submit"), className="ask")
    return html.Form([*parts, sends], action=action, method="post")


def one_button(action: str, words: str) -> html.Form:
    """A form that is only a button, fit for a line of a table."""
    button = html.Button(words, type="submit", className="plain")
    return html.Form(button, action=action, method="post", className="line")


def line_field(label: str, key: str, name: str, *, hint: str = "") -> html.Div:
    """A labelled line of text."""
    box = dcc.Input(id=key, name=name, type="text", autoComplete="off")
    parts: list[Component] = [html.Label(label, htmlFor=key), box]
    if hint:
        parts.append(html.P(hint, className="hint"))
    return html.Div(parts, className="field")


def password_field(label: str, key: str, name: str) -> html.Div:
    """A labelled password."""
    box = dcc.Input(id=key, name=name, type="password", autoComplete="current-password")
    return html.Div([html.Label(label, htmlFor=key), box], className="field")


def choice_field(
    label: str, key: str, name: str, options: Sequence[tuple[str, str]]
) -> html.Div:
    """A labelled choice; options are value and words."""
    listed = [html.Option(words, value=value) for value, words in options]
    box = html.Select(listed, id=key, name=name)
    return html.Div([html.Label(label, htmlFor=key), box], className="field")
