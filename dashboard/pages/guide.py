"""One document, to be read."""

from types import SimpleNamespace

from dash import Dash, dcc, html
from dash.development.base_component import Component

from dashboard.components.attributes import aria
from dashboard.components.markdown import headings, page_parts
from dashboard.context import AppContext
from dashboard.guides import shelf

NAME, PATH = "guide", "/guides/<name>"
QUERY: tuple[str, ...] = ()
IDS = SimpleNamespace()


def title(name: str = "") -> str:
    """Title of the page."""
    found = shelf.guide(name)
    return found.title if found else "Guides"


def layout(context: AppContext, name: str = "") -> Component:
    """The text, after a list of what stands in it."""
    if not name:
        return html.Article()
    if shelf.guide(name) is None:
        return html.Article(
            [
                html.H1("No such guide"),
                html.P(dcc.Link("All guides", href="/guides"), className="lead"),
            ]
        )
    text = shelf.text_of(name)
    first, *rest = page_parts(text)
    back = html.P(dcc.Link("Guides", href="/guides"), className="dateline")
    return html.Article([back, first, _contents(text), *rest], className="guide")


def register(app: Dash, context: AppContext) -> None:
    """Nothing answers here."""


def _contents(text: str) -> Component:
    links = [html.Li(html.A(words, href=f"#{key}")) for words, key in headings(text)]
    return html.Nav(html.Ul(links), className="guide-contents", **aria(label="Parts"))
