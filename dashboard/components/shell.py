"""What stands around every page."""

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.access import signed_in
from dashboard.components.attributes import aria
from monitor.domain.rights import Right

PLACES = (
    ("Today", "/"),
    ("Register", "/register"),
    ("Map", "/map"),
    ("Due", "/due"),
    ("Events", "/events"),
    ("Policy", "/policy"),
    ("Rounds", "/rounds"),
    ("Fleet", "/fleet"),
    ("Forecasts", "/forecasts"),
    ("Papers", "/papers"),
    ("Imports", "/imports"),
)
NEEDS = {"/imports": Right.KEEP_REGISTER}
"""The right without which a place is not there."""


def shell() -> html.Div:
    """Head and the page."""
    return html.Div(
        [
            html.A("Skip to the page", href="#page", className="skip"),
            dcc.Location(id="shell-address", refresh="callback-nav"),
            dcc.Store(id="shell-title"),
            html.Header(
                [_brand(), _places(), _leave()],
                className="head",
            ),
            html.Main(html.Div(id="shell-page"), id="page", tabIndex="-1"),
            html.Footer(dcc.Link("Guides", href="/guides"), className="foot"),
            html.Div(
                id="shell-announcement", className="unseen", **aria(live="polite")
            ),
        ],
        className="book",
    )


def places(path: str) -> list[Component]:
    """Links to the pages that are there for who asks; the present one is marked."""
    return [
        _place(name, address, path == address)
        for name, address in PLACES
        if address not in NEEDS or signed_in().may(NEEDS[address])
    ]


def _place(name: str, address: str, is_here: bool) -> Component:
    link = dcc.Link(name, href=address, className="place")
    if not is_here:
        return link
    return html.Span(link, className="here", **aria(current="page"))


def _brand() -> Component:
    drawing = html.Span(className="brand-drawing", **aria(hidden="true"))
    return dcc.Link([drawing, "Underprop"], href="/", className="brand")


def _places() -> Component:
    return html.Nav(id="shell-places", **aria(label="Pages"))


def _leave() -> Component:
    return html.Form(
        [
            html.A("Field form", href="/field/", className="field"),
            dcc.Link("Notices", href="/notices"),
            dcc.Link("My account", href="/account"),
            html.Button("Sign out", type="submit", className="plain"),
        ],
        action="/sign-out",
        method="post",
        className="leave",
    )
