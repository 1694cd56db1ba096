"""The map: where everything stands, and an event told again day by day."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from dash import ClientsideFunction, Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component
from flask import has_request_context
from plotly.graph_objects import Figure

from dashboard.access import signed_in
from dashboard.components import map_parts as parts
from dashboard.components.alerts import from_error, shown_as_alert
from dashboard.components.attributes import data
from dashboard.components.map_parts import IDS, Chosen, chosen_of
from dashboard.components.standing import UNKNOWN
from dashboard.components.text import counted, day, sentence
from dashboard.context import AppContext
from dashboard.figures import map_drawing as drawn
from dashboard.figures.map_clusters import MapSpot
from dashboard.figures.map_ink import DAY, NIGHT
from dashboard.map_routes import GROUND_URL, may_set_ground
from monitor.domain.rights import Right
from monitor.domain.vocabulary import Standing
from monitor.errors import InvalidInput, MonitorError
from monitor.schedule.area import Area, parse_area
from monitor.services.showing.map_ground import ground_path
from monitor.services.showing.map_replay import Replay, event_choices, replay_of
from monitor.store.map_lines import MapLine, count_by_standing, map_lines

NAME, PATH = "map", "/map"
QUERY = ("standing", "kind", "q", "event")
__all__ = ["IDS", "NAME", "PATH", "QUERY", "layout", "register", "title"]

_WAITING, _SEEN, _OTHER = range(3)


def title() -> str:
    """Title of the page."""
    return "Map"


@shown_as_alert
def layout(context: AppContext, **given: str) -> Component:
    """The answer, what is chosen, the map, the list."""
    with context.store.read_session() as session:
        (sites, counts), events = count_by_standing(session), event_choices(session)
    return html.Article(
        [
            html.H1(headline(sites, counts)),
            parts.filters(given),
            parts.event_choice(events, given.get("event", "")),
            html.P(id=IDS.told, role="status", className="lead"),
            parts.canvas(),
            dcc.Store(id=IDS.screen),
            dcc.Store(id=IDS.zoom),
            dcc.Store(id=IDS.area, data=""),
            html.Div(id=IDS.list),
            _ground_form(context),
        ],
        className="wide map",
    )


def register(app: Dash, context: AppContext) -> None:
    """The map is drawn here; moving about on it is left to the browser."""
    filters = {
        "standing": Input(IDS.standing, "value"),
        "kind": Input(IDS.kind, "value"),
        "words": Input(IDS.words, "value"),
    }

    @app.callback(
        output={
            "figure": Output(IDS.graph, "figure"),
            "told": Output(IDS.told, "children"),
            "legend": Output(IDS.legend, "children"),
        },
        inputs={
            "screen": Input(IDS.screen, "data"),
            "zoom": Input(IDS.zoom, "data"),
            "area": Input(IDS.area, "data"),
            "event": Input(IDS.event, "value"),
            "on_day": Input(IDS.day, "value"),
            "filters": filters,
        },
        prevent_initial_call=True,
    )
    def draw(screen: dict[str, Any] | None, **asked: Any) -> dict[str, object]:  # noqa: ANN401 - Dash's
        if not screen:
            return dict.fromkeys(("figure", "told", "legend"), no_update)
        return _drawn(context, screen, asked)

    @app.callback(
        Output(IDS.list, "children"),
        inputs={"area": Input(IDS.area, "data"), "filters": filters},
    )
    def listed(area: str | None, filters: dict[str, Any]) -> Component:
        return _listed(context, area or "", filters)

    @app.callback(
        Output(IDS.day, "max"),
        Output(IDS.day, "value"),
        Output(IDS.days, "hidden"),
        Input(IDS.event, "value"),
    )
    def choose(event: str | None) -> tuple[int, int, bool]:
        with context.store.read_session() as session:
            found = replay_of(session, event or "", context.clock.now())
        return (1, 0, True) if found is None else (max(1, found.days), 0, False)

    _register_browser(app)


def headline(sites: int, counts: Mapping[Standing | None, int]) -> str:
    """Whom the map shows in trouble, in one sentence."""
    if not counts:
        return "No support stands yet, so the map is empty."
    grave, act = counts.get(Standing.MAKE_SAFE, 0), counts.get(Standing.ACT, 0)
    told = f"{counted(sum(counts.values()), 'support')} on {counted(sites, 'site')}"
    if grave:
        must = counted(grave, "must be made safe", "must be made safe")
        return f"{sentence(told)}: {must}, {act} want action."
    if act:
        return f"{sentence(told)}: {counted(act, 'wants action', 'want action')}."
    return f"{sentence(told)}; none wants action."


def spots_of(
    lines: Sequence[MapLine], replay: Replay | None, on_day: int
) -> list[MapSpot]:
    """Supports with a place, ranked by standing or by what an event asks of them."""
    seen = replay.seen_by(on_day) if replay else frozenset()
    found = []
    for line in lines:
        if line.place is None:
            continue
        standing = line.standing.value if line.standing else UNKNOWN
        rank, words = parts.STANDINGS.index(standing), standing
        if replay is not None:
            rank = _rank(line, replay, seen)
            words = drawn.LOOKS.words[rank]
        told = f"<b>{line.code}</b> {words}<br>{line.tree}<br>{line.site}"
        found.append(MapSpot(line.code, line.place, rank, told))
    return found


def replay_words(replay: Replay, on_day: int) -> str:
    """How far the looks after an event had come."""
    called, seen = len(replay.called), len(replay.seen_by(on_day))
    size = f", {replay.size}" if replay.size else ""
    when = "On the day itself" if on_day == 0 else f"{counted(on_day, 'day')} later"
    return (
        f"{replay.event.name}{size}. {sentence(when)}, {day(replay.on(on_day))}: "
        f"{seen} of the {called} called had been looked at."
    )


def _rank(line: MapLine, replay: Replay, seen: frozenset[object]) -> int:
    if line.support_id not in replay.called:
        return _OTHER
    return _SEEN if line.support_id in seen else _WAITING


def _drawn(
    context: AppContext, screen: Mapping[str, Any], asked: Mapping[str, Any]
) -> dict[str, object]:
    with context.store.read_session() as session:
        lines = map_lines(session)
        replay = replay_of(session, asked["event"] or "", context.clock.now())
    on_day = min(int(asked["on_day"] or 0), replay.days if replay else 0)
    area = _area(asked["area"] or "")
    chosen = chosen_of(asked["filters"])
    spots = spots_of([line for line in lines if chosen.takes(line)], replay, on_day)
    legend = drawn.LOOKS if replay else drawn.STANDINGS
    view = _view(context, screen, asked["zoom"], legend)
    return {
        "figure": _figure(spots, view, area, replay),
        "told": replay_words(replay, on_day) if replay else "",
        "legend": parts.legend_words(legend),
    }


def _figure(
    spots: Sequence[MapSpot], view: drawn.View, area: Area | None, replay: Replay | None
) -> Figure:
    outline = area.outline if area is not None else ()
    if not outline and replay is not None and replay.event.area:
        outline = parse_area(replay.event.area).outline
    return drawn.map_drawing(spots, replace(view, outline=tuple(outline)))


def _view(
    context: AppContext, screen: Mapping[str, Any], zoom: object, legend: drawn.Legend
) -> drawn.View:
    settings = context.settings
    has_ground = ground_path(settings.data_folder, settings.ground_file) is not None
    origin = str(screen.get("origin", ""))
    return drawn.View(
        ink=NIGHT if screen.get("night") else DAY,
        legend=legend,
        ground_url=f"{origin}{GROUND_URL}" if has_ground else "",
        tile_url=settings.tile_address,
        width_px=float(screen.get("width") or 700),
        zoom=float(zoom) if isinstance(zoom, int | float) else None,
    )


@shown_as_alert
def _listed(context: AppContext, drawn: str, filters: dict[str, Any]) -> Component:
    with context.store.read_session() as session:
        lines = map_lines(session)
    try:
        chosen: Chosen = chosen_of(filters, _area(drawn) if drawn else None)
        if drawn:
            parse_area(drawn)
    except MonitorError as error:
        return from_error(error)
    inside = [line for line in lines if chosen.holds(line)]
    may_enter = signed_in().may(Right.PLAN)
    return parts.area_list(inside, drawn, chosen, may_enter=may_enter)


def _area(text: str) -> Area | None:
    """What was drawn; None for nothing, or for what is no area."""
    if not text:
        return None
    try:
        return parse_area(text)
    except InvalidInput:
        return None


def _ground_form(context: AppContext) -> Component:
    """Where the ground comes from, and giving another."""
    settings = context.settings
    path = ground_path(settings.data_folder, settings.ground_file)
    told = (
        "Beneath the supports lies a ground that was loaded here."
        if path
        else "No ground is loaded: supports are drawn on plain paper."
    )
    shown: list[Component | str] = [html.P(told, className="quiet")]
    if has_request_context() and may_set_ground():
        shown.append(
            html.Form(
                [
                    html.Div(**data(accept=".geojson,.json", name="ground")),
                    html.Button("Load it", type="submit", className="plain"),
                ],
                action="/map/ground", method="POST", encType="multipart/form-data",
                className="map-ground",
            )
        )  # fmt: skip
    return html.Details(
        [html.Summary("The ground of the map"), *shown], className="no-print"
    )


def _register_browser(app: Dash) -> None:
    in_browser = (
        ("screen", Output(IDS.screen, "data"), (Input(IDS.graph, "id"),)),
        ("zoom", Output(IDS.zoom, "data"), (Input(IDS.graph, "relayoutData"),
         State(IDS.zoom, "data"))),
        ("area", Output(IDS.area, "data"), (Input(IDS.graph, "selectedData"),
         Input(IDS.clear, "n_clicks"), State(IDS.area, "data"))),
        ("open", Output(IDS.graph, "className"), (Input(IDS.graph, "clickData"),)),
        ("move", Output(IDS.whole, "className"), (Input(IDS.nearer, "n_clicks"),
         Input(IDS.farther, "n_clicks"), Input(IDS.whole, "n_clicks"),
         State(IDS.graph, "figure"))),
        ("drawing", Output(IDS.draw, "children"), (Input(IDS.draw, "n_clicks"),)),
        ("play", Output(IDS.play, "children"), (Input(IDS.play, "n_clicks"),
         State(IDS.day, "value"), State(IDS.day, "max"))),
        ("address", Output(IDS.standing, "className"), (Input(IDS.standing, "value"),
         Input(IDS.kind, "value"), Input(IDS.words, "value"),
         Input(IDS.event, "value"))),
    )  # fmt: skip
    for name, output, given in in_browser:
        app.clientside_callback(
            ClientsideFunction("underprop_map", name), output, *given
        )
