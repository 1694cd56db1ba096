"""The rounds of one day on one drawing: a letter a person, a number a stop."""

from collections.abc import Sequence
from dataclasses import dataclass

import plotly.graph_objects as go

from dashboard.figures.area_map import draw_ground, draw_scale, frame_of
from dashboard.figures.sketch import Sketch
from dashboard.figures.theme import BARK, INK, MUTED, OCHRE, PAPER, base_figure

LINES = (
    (BARK, "solid"), (INK, "dash"), (OCHRE, "dot"), (MUTED, "dashdot"),
)  # fmt: skip
"""Told apart by the dashes, and by the letters, too."""


@dataclass(frozen=True, slots=True)
class DayStop:
    """One mark: stops of one place share it.

    Attributes
    ----------
    place : longitude and latitude [deg]
    label : such as "A2–4"
    words : shown on pointing at it
    """

    place: tuple[float, float]
    label: str
    words: str


@dataclass(frozen=True, slots=True)
class DayWay:
    """The way of one person, from home and back."""

    home: tuple[float, float] | None
    stops: tuple[DayStop, ...]


def day_map(ways: Sequence[DayWay]) -> go.Figure:
    """Draw the ways of a day, straight from stop to stop, north up and to scale."""
    homes = [way.home for way in ways if way.home is not None]
    places = [stop.place for way in ways for stop in way.stops] + homes
    frame = frame_of(places, ())
    sketch = base_figure(380, margin={"l": 4, "r": 4, "t": 24, "b": 30})
    draw_ground(sketch, frame)
    for index, way in enumerate(ways):
        colour, dash = LINES[index % len(LINES)]
        ends = [way.home] if way.home is not None else []
        line = [*ends, *(stop.place for stop in way.stops), *ends]
        sketch.scatter(
            x=[x for x, _ in line], y=[y for _, y in line], mode="lines",
            line={"color": colour, "width": 1.8, "dash": dash}, hoverinfo="skip",
        )  # fmt: skip
    for way in ways:
        _draw_stops(sketch, way.stops)
    sketch.scatter(
        x=[x for x, _ in homes[:1]], y=[y for _, y in homes[:1]], mode="markers",
        marker={"symbol": "square", "size": 11, "color": PAPER,
                "line": {"color": INK, "width": 1.6}},
        text=["Days begin and end here"], hovertemplate="%{text}<extra></extra>",
    )  # fmt: skip
    draw_scale(sketch, frame)
    return sketch.figure()


def _draw_stops(sketch: Sketch, stops: Sequence[DayStop]) -> None:
    sketch.scatter(
        x=[stop.place[0] for stop in stops], y=[stop.place[1] for stop in stops],
        mode="markers", marker={"size": 8, "color": INK,
                                "line": {"color": PAPER, "width": 1.2}},
        text=[stop.words for stop in stops], hovertemplate="%{text}<extra></extra>",
    )  # fmt: skip
    for stop in stops:
        sketch.words(
            stop.label, x=stop.place[0], y=stop.place[1], yanchor="bottom", yshift=6,
            font={"color": INK, "size": 12}, bgcolor=PAPER, borderpad=1,
        )  # fmt: skip
