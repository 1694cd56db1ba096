"""The parts about the map: what is chosen, the list of what it shows."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any
from urllib.parse import quote

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.attributes import aria
from dashboard.components.entries import support_link
from dashboard.components.form import choice_field, field
from dashboard.components.standing import UNKNOWN, standing_mark
from dashboard.components.tables import quiet_table
from dashboard.components.text import counted, day, listed, sentence
from dashboard.figures.map_drawing import HEIGHT_PX, Legend
from monitor.domain.vocabulary import MemberKind
from monitor.schedule.area import Area
from monitor.store.map_lines import MapLine

IDS = SimpleNamespace(
    graph="map-graph", screen="map-screen", zoom="map-zoom", area="map-area",
    standing="map-standing", kind="map-kind", words="map-words", event="map-event",
    day="map-day", days="map-days", told="map-told", list="map-list",
    legend="map-legend", draw="map-draw", nearer="map-nearer", farther="map-farther",
    whole="map-whole", play="map-play", clear="map-clear",
)  # fmt: skip
LISTED = 60
STANDINGS = ("make safe", "act", "watch", "holding", UNKNOWN)


@dataclass(frozen=True, slots=True)
class Chosen:
    """What is to be shown; empty chooses everything.

    Attributes
    ----------
    words : that a support's code, site or tree must hold
    area : None if none is drawn
    """

    standings: frozenset[str] = frozenset()
    kinds: frozenset[str] = frozenset()
    words: str = ""
    area: Area | None = None

    def takes(self, line: MapLine) -> bool:
        """Whether a support is shown."""
        standing = line.standing.value if line.standing else UNKNOWN
        if self.standings and standing not in self.standings:
            return False
        if self.kinds and not self.kinds & {kind.value for kind in line.kinds}:
            return False
        told = f"{line.code} {line.site} {line.tree}".casefold()
        return all(word in told for word in self.words.casefold().split())

    def holds(self, line: MapLine) -> bool:
        """Whether it also lies in the area that was drawn."""
        if not self.takes(line):
            return False
        if self.area is None:
            return True
        return line.place is not None and self.area.holds(line.place)


def chosen_of(filters: Mapping[str, Any], area: Area | None = None) -> Chosen:
    """From the fields of the page."""
    return Chosen(
        frozenset(str(one) for one in filters.get("standing") or ()),
        frozenset(str(one) for one in filters.get("kind") or ()),
        str(filters.get("words") or ""),
        area,
    )


def filters(given: Mapping[str, str]) -> Component:
    """Which supports are shown."""
    standing = dcc.Checklist(
        id=IDS.standing, options=list(STANDINGS), inline=True, className="choices",
        value=[one for one in given.get("standing", "").split(",") if one in STANDINGS],
    )  # fmt: skip
    kind = dcc.Checklist(
        id=IDS.kind, options=[kind.value for kind in MemberKind], inline=True,
        className="choices",
        value=[k for k in given.get("kind", "").split(",") if k in set(MemberKind)],
    )  # fmt: skip
    words = dcc.Input(
        id=IDS.words, value=given.get("q", ""), type="search", debounce=True,
        placeholder="code, site or tree", autoComplete="off",
    )  # fmt: skip
    return html.Div(
        [
            choice_field("Standing", standing),
            choice_field("Made of", kind),
            field("Search", words, key=IDS.words),
        ],
        className="map-filters",
    )


def event_choice(events: Sequence[tuple[str, str]], given: str) -> Component:
    """Which event is told again, and up to which day."""
    chosen = given if given in dict(events) else None
    which = dcc.Dropdown(
        id=IDS.event, options=dict(events), value=chosen,
        placeholder="as everything stands today",
    )  # fmt: skip
    slider = dcc.Slider(
        id=IDS.day, min=0, max=1, step=1, value=0, marks=None, updatemode="mouseup"
    )
    return html.Div(
        [
            field("Tell an event again", which, key=IDS.event),
            html.Div(
                [
                    html.Button("Play", id=IDS.play, type="button", className="plain"),
                    html.Div(
                        [html.Label("Days after it", htmlFor=IDS.day), slider],
                        className="map-slider",
                    ),
                ],
                id=IDS.days,
                hidden=chosen is None,
                className="map-days",
            ),
        ],
        className="map-replay",
    )


def canvas() -> Component:
    """The map and its buttons."""
    names = (
        (IDS.draw, "Draw an area"), (IDS.clear, "Rub it out"), (IDS.nearer, "Nearer"),
        (IDS.farther, "Farther"), (IDS.whole, "Everything"),
    )  # fmt: skip
    buttons = [
        html.Button(name, id=key, type="button", className="plain")
        for key, name in names
    ]
    graph = dcc.Graph(
        id=IDS.graph,
        config={
            "displayModeBar": False,
            "scrollZoom": True,
            "responsive": True,
            "doubleClick": False,
        },
        style={"height": f"{HEIGHT_PX}px"},
    )
    label = "Map of the supports; everything on it is listed beneath"
    return html.Div(
        [
            html.Div(buttons, className="map-buttons"),
            html.Div(graph, className="map-canvas", role="img", **aria(label=label)),
            html.P(id=IDS.legend, className="quiet map-legend"),
        ]
    )


def legend_words(legend: Legend) -> list[str | Component]:
    """Each shape with its word."""
    return [
        html.Span([html.Span(shape, className="map-shape"), f" {word}"])
        for shape, word in zip(legend.shapes, legend.words, strict=True)
    ]


def area_list(
    lines: Sequence[MapLine], drawn: str, chosen: Chosen, *, may_enter: bool
) -> Component:
    """What is shown, or what lies in the drawn area, gravest first."""
    order = {word: n for n, word in enumerate(STANDINGS)}
    lines = sorted(lines, key=lambda line: (order[_standing(line)], line.code))
    many = counted(len(lines), "support")
    if chosen.area is not None:
        heading = f"{sentence(many)} in the area"
    else:
        heading = f"{sentence(many)} on the map"
    parts: list[Component] = [html.H2(heading)]
    if chosen.area is not None and may_enter:
        link = dcc.Link(
            "Enter an event for this area", href=f"/events?area={quote(drawn)}",
            className="action",
        )  # fmt: skip
        parts.append(html.P(link))
    if not lines:
        parts.append(html.P("Nothing of what is chosen lies there."))
        return html.Section(parts, className="part")
    parts.append(_table(lines[:LISTED]))
    unplaced = sum(line.place is None for line in lines)
    if len(lines) > LISTED:
        more = len(lines) - LISTED
        parts.append(
            html.P(
                [f"{more} more: choose fewer above, or ",
                 dcc.Link("open the register", href="/register"), "."]
            )
        )  # fmt: skip
    if unplaced:
        are = "of one it was" if unplaced == 1 else f"of {unplaced} it was"
        parts.append(html.P(f"Where they stand: {are} never noted.", className="quiet"))
    return html.Section(parts, className="part")


def _table(lines: Sequence[MapLine]) -> Component:
    heads = ("Support", "Standing", "Site", "Tree", "Made of", "Next due")
    rows = [
        (
            support_link(line.code), standing_mark(line.standing), line.site, line.tree,
            listed([kind.value for kind in line.kinds]),
            day(line.due_on) if line.due_on else "nothing owed",
        )
        for line in lines
    ]  # fmt: skip
    return quiet_table(heads, rows, caption="Supports on the map")


def _standing(line: MapLine) -> str:
    return line.standing.value if line.standing else UNKNOWN
