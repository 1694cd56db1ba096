"""An address that leads nowhere."""

from dash import dcc, html


def title() -> str:
    """Title of the page."""
    return "Not found"


def layout() -> html.Article:
    """Say so, and show the way back."""
    return html.Article(
        [
            html.H1("There is no page at this address"),
            html.P("It may have been typed wrongly, or a support was renamed."),
            html.P(
                [
                    dcc.Link("What needs me now", href="/"),
                    " or ",
                    dcc.Link("the register", href="/register"),
                    ".",
                ]
            ),
        ]
    )
