"""Entries of the field book: a note in the margin, the words beside it."""

from collections.abc import Sequence
from urllib.parse import quote

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.standing import standing_mark
from monitor.domain.vocabulary import Standing

Words = str | Component | Sequence[str | Component]


def support_address(code: str) -> str:
    """Where the page of a support is."""
    return f"/supports/{quote(code, safe='')}"


def record_address(code: str) -> str:
    """Where an inspection of it is recorded."""
    return f"/record/{quote(code, safe='')}"


def support_link(code: str) -> dcc.Link:
    """The code, leading to its page."""
    return dcc.Link(code, href=support_address(code), className="code")


def entry(margin: Words, words: Words) -> html.Li:
    """One entry."""
    return html.Li(
        [
            html.Div(margin, className="entry-margin"),
            html.Div(words, className="entry-words"),
        ],
        className="entry",
    )


def support_entry(
    code: str, place: str, words: Words, standing: Standing | None = None
) -> html.Li:
    """An entry about one support: code and standing in the margin."""
    margin: list[Component] = [support_link(code)]
    if standing is not None:
        margin.append(standing_mark(standing))
    return entry(margin, [html.P(words), html.P(place, className="quiet")])


def entries(items: Sequence[html.Li]) -> html.Ol:
    """Entries under one another."""
    return html.Ol(list(items), className="entries")


def headed(title: str, parts: Sequence[Component], *, key: str = "") -> html.Section:
    """A section with its heading."""
    heading = html.H2(title, id=key) if key else html.H2(title)
    return html.Section([heading, *parts], className="part")
