"""Errors for people: a page that can not be shown says why and what to do."""

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec

from dash import dcc, html
from dash.development.base_component import Component

from monitor.errors import MonitorError, NotFound

P = ParamSpec("P")


def from_error(error: MonitorError) -> html.Div:
    """What went wrong, in its own words."""
    return html.Div(
        [html.P(error.message), html.P(f"Code {error.code}", className="quiet")],
        className="refusal",
        role="alert",
    )


def shown_as_alert(
    render: Callable[P, Component],
) -> Callable[P, Component]:
    """Let a layout or callback that returns one component say no in words."""

    @wraps(render)
    def rendered(*args: P.args, **kwargs: P.kwargs) -> Component:
        try:
            return render(*args, **kwargs)
        except NotFound as error:
            return html.Div(
                [
                    html.H1("Not in the record"),
                    html.P(error.message, className="lead"),
                    html.P(dcc.Link("Open the register", href="/register")),
                ]
            )
        except MonitorError as error:
            return from_error(error)

    return rendered
