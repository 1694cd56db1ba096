"""Entering an event by hand, with its area drawn or a circle, and ending one."""

import base64
import binascii
import json
import re
from collections.abc import Mapping, Sequence
from datetime import date
from types import SimpleNamespace
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.attributes import aria
from dashboard.components.form import field, text_input
from dashboard.components.text import sentence
from dashboard.figures.area_map import Spot, State, area_map
from monitor.domain.vocabulary import EventKind
from monitor.errors import InvalidInput
from monitor.exchange.tables import ReadOptions, sheet_of
from monitor.services.planning.event_size import StationFile, station_file
from monitor.services.planning.events import EventCommand
from monitor.services.showing.events import EventView, Placed

IDS = SimpleNamespace(
    kind="events-kind",
    on="events-on",
    size="events-size",
    file="events-file",
    read="events-read",
    around="events-around",
    radius="events-radius",
    support="events-support",
    draw="events-draw",
    area="events-area",
    name="events-name",
    note="events-note",
    ask="events-ask",
    enter="events-enter",
    answer="events-answer",
    over="events-over",
    over_on="events-over-on",
    end="events-end",
    ended="events-ended",
    wrong="events-wrong",
    wrong_why="events-wrong-why",
    withdraw="events-withdraw",
    correct="events-correct",
    righted="events-righted",
)
FIELDS = ("kind", "on", "size", "around", "radius", "support", "area", "name", "note")
_CORNER = re.compile(r"[ML](-?[\d.]+),(-?[\d.]+)")


def enter_form(
    sites: Sequence[tuple[str, str]],
    places: Sequence[Placed],
    today: date,
    area: str = "",
) -> Component:
    """The form; an area that was drawn elsewhere stands in it."""
    buttons = [
        html.Button("Who would be called?", id=IDS.ask, type="button"),
        html.Button("Enter it", id=IDS.enter, type="button", className="second"),
    ]
    names = [
        field("Name", text_input(IDS.name), key=IDS.name,
              hint="Empty takes the kind and the day."),
        field("Words", text_input(IDS.note), key=IDS.note),
    ]  # fmt: skip
    return html.Section(
        [
            html.H2("Enter an event"),
            html.Div(_what(today), className="head-fields"),
            html.Div(id=IDS.read, role="status"),
            html.H3("Where"),
            html.P(
                "Say it in one way: a circle, one support, or an area.",
                className="quiet",
            ),
            html.Div(_where(sites), className="head-fields"),
            *_area(places, area),
            html.Div(names, className="head-fields"),
            html.Div(buttons, className="ask buttons"),
            html.Div(id=IDS.answer, role="status"),
        ],
        className="part",
    )


def end_form(followed: Sequence[EventView], today: date) -> Component:
    """Saying that an event is over; hidden while none is followed."""
    names = {
        str(v.event.id): v.event.name for v in followed if v.event.ended_on is None
    }
    return html.Section(
        [
            html.H2("An event is over"),
            html.P(
                "What nobody has looked at stays owed. A dig gets one last look.",
                className="quiet",
            ),
            html.Div(
                [
                    field(
                        "Which",
                        dcc.Dropdown(id=IDS.over, options=names),
                        key=IDS.over,
                    ),
                    field(
                        "Day it ended",
                        _day_field(IDS.over_on, today),
                        key=IDS.over_on,
                    ),
                ],
                className="head-fields",
            ),
            html.Div(
                html.Button("It is over", id=IDS.end, type="button"), className="ask"
            ),
            html.Div(id=IDS.ended, role="status"),
        ],
        className="part",
        hidden=not names,
    )


def wrong_form(every: Sequence[EventView]) -> Component:
    """Taking back what was entered wrongly, or setting it right."""
    names = {str(view.event.id): view.event.name for view in every}
    buttons = [
        html.Button("Withdraw it", id=IDS.withdraw, type="button"),
        html.Button(
            "Put what is filled in above in its place",
            id=IDS.correct,
            type="button",
            className="second",
        ),
    ]
    which = dcc.Dropdown(id=IDS.wrong, options=names)
    return html.Details(
        [
            html.Summary("An event was entered wrongly"),
            html.P(
                "Withdrawn, it calls for nothing any more. To set it right, fill in "
                "the form above as it should have been. The ledger keeps both.",
                className="quiet",
            ),
            html.Div(
                [
                    field("Which one", which, key=IDS.wrong),
                    field("What was wrong", text_input(IDS.wrong_why),
                          key=IDS.wrong_why),
                ],
                className="head-fields",
            ),
            html.Div(buttons, className="ask buttons"),
            html.Div(id=IDS.righted, role="status"),
        ],
        hidden=not names,
        className="part",
    )  # fmt: skip


def command_from(filled: Mapping[str, Any]) -> EventCommand:
    """What the form asks to have entered; empty fields say nothing."""
    words = {name: str(filled[name] or "").strip() for name in FIELDS}
    return EventCommand(
        kind=words["kind"],
        happened_on=day_of(words["on"]),
        name=words["name"],
        area=words["area"],
        around=words["around"],
        radius=words["radius"],
        support=words["support"],
        size=words["size"],
        note=words["note"],
    )


def day_of(text: object) -> date:
    """The day of a date field.

    Raises
    ------
    InvalidInput : it is empty or unreadable
    """
    try:
        return date.fromisoformat(str(text)[:10])
    except ValueError:
        raise InvalidInput("The day is missing; choose it.", field="on") from None


def area_from(drawn: Mapping[str, Any] | None) -> str | None:
    """The GeoJSON of what was drawn last on the map, None if nothing was."""
    shapes = (drawn or {}).get("shapes")
    path = shapes[-1].get("path") if shapes else None
    if path is None:
        moved = [v for k, v in (drawn or {}).items() if k.endswith(".path")]
        path = moved[-1] if moved else None
    if not path:
        return None
    corners = [
        [round(float(x), 6), round(float(y), 6)] for x, y in _CORNER.findall(path)
    ]
    if not corners:
        return None
    return json.dumps(
        {"type": "Polygon", "coordinates": [[*corners, corners[0]]]},
        separators=(",", ":"),
    )


def station_from(name: str | None, content: str | None) -> StationFile:
    """What an uploaded file of gusts says.

    Raises
    ------
    InvalidInput : it can not be read or used
    """
    try:
        body = base64.b64decode((content or "").partition(",")[2], validate=True)
    except (binascii.Error, ValueError):
        raise InvalidInput("The file did not arrive whole; choose it again.") from None
    return station_file(sheet_of(name or "file", body, ReadOptions(limit_mb=2)))


def _what(today: date) -> list[Component]:
    kinds = {kind.value: sentence(kind.value) for kind in EventKind}
    choose = html.Span(
        "Choose a CSV with a column “gust [km/h]”, or in m/s, mph or kn",
        className="action",
    )
    return [
        field("What", dcc.Dropdown(id=IDS.kind, options=kinds,
              value=EventKind.STORM.value, clearable=False), key=IDS.kind),
        field("Day", _day_field(IDS.on, today), key=IDS.on),
        field("How strong", text_input(IDS.size), key=IDS.size,
              hint="Gust, such as 95 km/h or 51 kn; ice or snow, such as 12 mm; rain "
              "in 24 hours in mm; intensity, such as VI. Empty counts as strong."),
        field("Or a station's file", dcc.Upload(choose, id=IDS.file,
              max_size=2_000_000), key=IDS.file),
    ]  # fmt: skip


def _where(sites: Sequence[tuple[str, str]]) -> list[Component]:
    return [
        field("About", dcc.Dropdown(id=IDS.around, options=dict(sites),
              placeholder="a site"), key=IDS.around),
        field("Radius in km", text_input(IDS.radius), key=IDS.radius),
        field("One support", text_input(IDS.support), key=IDS.support,
              hint="Its code, for a strike or a dig."),
    ]  # fmt: skip


def _day_field(key: str, today: date) -> Component:
    return dcc.DatePickerSingle(
        id=key,
        date=today.isoformat(),
        display_format="D MMM YYYY",
        first_day_of_week=1,
    )


def _area(places: Sequence[Placed], given: str) -> list[Component]:
    spots = [Spot(p.code, p.place, State.OTHER, p.site) for p in places]
    figure = area_map(spots)
    if spots:
        figure.update_layout(
            dragmode="drawclosedpath",
            newshape={"line": {"color": "rgb(122, 69, 38)", "width": 2}},
        )
    graph = dcc.Graph(
        id=IDS.draw,
        figure=figure,
        config={
            "displayModeBar": bool(spots),
            "displaylogo": False,
            "modeBarButtons": [["drawclosedpath", "eraseshape"]],
            "responsive": True,
            "doubleClick": False,
            "scrollZoom": False,
        },
        style={"height": f"{figure.layout.height}px"},
    )
    inside = [
        html.P(
            "Draw a line around it on the map, or paste GeoJSON beneath.",
            className="quiet",
        ),
        html.Div(
            graph,
            className="drawing",
            role="img",
            **aria(label="Map of the supports to draw on"),
        ),
        field(
            "The area as GeoJSON",
            dcc.Textarea(id=IDS.area, value=given),
            key=IDS.area,
        ),
    ]
    summary = html.Summary("An area drawn on the map")
    return [html.Details([summary, *inside], open=bool(given))]
