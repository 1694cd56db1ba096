"""From an empty book to the first recorded support."""

from dash import dcc, html
from dash.development.base_component import Component
from flask import has_request_context

from dashboard.access import signed_in
from monitor.domain.rights import Right


def first_steps() -> list[Component]:
    """Where to begin, for those who may; a word of patience for the others."""
    if has_request_context() and not signed_in().may(Right.KEEP_REGISTER):
        return [html.P("As soon as someone enters the first support, it stands here.")]
    return [
        html.Ol(
            [
                html.Li(
                    [
                        dcc.Link("Enter the first support", href="/new"),
                        ": whose tree, what holds it, how it was built. Two minutes.",
                    ]
                ),
                html.Li(
                    "Take its first baseline: the form leads there. Every later "
                    "reading is compared with it."
                ),
                html.Li(
                    "From then on this page says what needs you, and when to look "
                    "again."
                ),
            ],
            className="steps-of-start",
        ),
        html.P(
            "If you hold a list of supports already, take it in whole: the command "
            "“underprop import FILE” reads CSV and XLSX and asks before it writes.",
            className="quiet",
        ),
    ]
