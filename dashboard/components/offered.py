"""What a page offers to do: only what the person who asks may do."""

from dash import dcc
from dash.development.base_component import Component
from flask import has_request_context

from dashboard.access import signed_in
from dashboard.components.entries import record_address
from monitor.domain.rights import Right


def is_offered(right: Right) -> bool:
    """Whether to show what needs a right.

    The shape of a page, which is made before anybody asks, holds everything.
    """
    return not has_request_context() or signed_in().may(right)


def record_link(code: str) -> list[Component]:
    """The way to record an inspection; nothing for those who only look."""
    if not is_offered(Right.RECORD):
        return []
    return [dcc.Link("Record it", href=record_address(code), className="no-print")]
