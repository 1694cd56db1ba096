"""Links to the calendars that one can follow."""

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component


def calendar_links(links: Sequence[tuple[str, str]]) -> Component:
    """Names and addresses, kept out of sight until they are wanted."""
    if not links:
        return html.P(
            "Whoever plans the visits hands out the addresses of calendars.",
            className="quiet",
        )
    items = [html.Li(html.A(name, href=address)) for name, address in links]
    return html.Details(
        [
            html.Summary("Follow these dates in a calendar"),
            html.P(
                "Copy an address into a calendar program. Whoever has the address can "
                "read it without signing in, so pass it on with care.",
                className="quiet",
            ),
            html.Ul(items),
        ],
        className="part",
    )
