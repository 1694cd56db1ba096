"""Quiet tables: rules, no boxes; on a phone each row becomes a short list."""

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from dashboard.components.attributes import aria, data

Cell = str | Component | list[str | Component]


def quiet_table(
    headings: Sequence[str], rows: Sequence[Sequence[Cell]], *, caption: str
) -> html.Table:
    """A table with its headings repeated beside each cell for narrow screens."""
    head = html.Thead(html.Tr([html.Th(heading, scope="col") for heading in headings]))
    body = html.Tbody(
        [
            html.Tr(
                [
                    html.Td(cell, **data(heading=heading))
                    for heading, cell in zip(headings, row, strict=True)
                ]
            )
            for row in rows
        ]
    )
    return html.Table(
        [html.Caption(caption, className="unseen"), head, body], className="quiet"
    )


def pairs(items: Sequence[tuple[str, Cell]], *, label: str = "") -> html.Dl:
    """Names and what they hold, aligned."""
    parts: list[Component] = []
    for name, value in items:
        parts += [html.Dt(name), html.Dd(value)]
    return html.Dl(parts, className="pairs", **(aria(label=label) if label else {}))
