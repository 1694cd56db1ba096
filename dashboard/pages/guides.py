"""The documents of the program, by whom they are for."""

from types import SimpleNamespace

from dash import Dash, dcc, html
from dash.development.base_component import Component

from dashboard.context import AppContext
from dashboard.guides.shelf import GUIDES

NAME, PATH = "guides", "/guides"
QUERY: tuple[str, ...] = ()
IDS = SimpleNamespace()


def title() -> str:
    """Title of the page."""
    return "Guides"


def layout(context: AppContext) -> Component:
    """One line for each."""
    return html.Article(
        [
            html.H1("How to work with this record, by who you are"),
            html.Ul(
                [
                    html.Li(
                        [
                            dcc.Link(one.title, href=f"{PATH}/{one.name}"),
                            f": {one.about}",
                        ]
                    )
                    for one in GUIDES
                ],
                className="guide-list",
            ),
        ],
        className="guide",
    )


def register(app: Dash, context: AppContext) -> None:
    """Nothing answers here."""
