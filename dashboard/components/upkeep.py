"""What is wrong with the program itself, for those who add to the record."""

from dash import dcc, html
from dash.development.base_component import Component
from flask import has_request_context

from dashboard.access import signed_in
from dashboard.components.entries import headed
from dashboard.context import AppContext
from monitor.services.showing.running import trouble

MOST = 5


def upkeep(context: AppContext) -> list[Component]:
    """Jobs that were missed or failed, notices that did not arrive; else nothing."""
    if not has_request_context() or not signed_in().may_record:
        return []
    with context.store.read_session() as session:
        found = trouble(session, context.watched, context.clock.now())
    told = found.sentences
    if not told:
        return []
    parts: list[Component] = [html.P(one) for one in told[:MOST]]
    if len(told) > MOST:
        parts.append(html.P(f"And {len(told) - MOST} more."))
    if found.notices:
        parts.append(html.P(dcc.Link("See what was told", href="/notices")))
    return [
        html.Div(
            headed("The watch itself needs someone", parts),
            className="refusal",
            role="alert",
        )
    ]
