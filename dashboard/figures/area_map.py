"""Supports and areas as a plain drawing: true north up, one scale, no tiles."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import plotly.graph_objects as go

from dashboard.figures.sketch import Sketch
from dashboard.figures.theme import (
    BARK,
    INK,
    MUTED,
    OCHRE,
    PAPER,
    RULE,
    base_figure,
    empty_figure,
    faded,
)

KM_PER_DEGREE = math.pi * 6371.0088 / 180
"""Along a meridian of the mean sphere. [km]"""

_STEPS_KM = (0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500)
_NAMED_AT_MOST = 8

Ring = Sequence[tuple[float, float]]


class State(StrEnum):
    """What an event asks of a support on the map."""

    WAITING = "still wants a look"
    SEEN = "looked at since"
    OTHER = "not called"


@dataclass(frozen=True, slots=True)
class Spot:
    """One support on the map.

    Attributes
    ----------
    place : longitude and latitude [deg]
    words : shown on pointing at it
    """

    code: str
    place: tuple[float, float]
    state: State
    words: str


def area_map(spots: Sequence[Spot], rings: Sequence[Ring] = ()) -> go.Figure:
    """Draw supports, and the outlines of areas about them.

    Parameters
    ----------
    rings : corners as longitude and latitude [deg]
    """
    if not spots:
        return empty_figure("Where the supports stand was never noted.")
    frame = frame_of([spot.place for spot in spots], rings)
    sketch = base_figure(380, margin={"l": 4, "r": 4, "t": 24, "b": 30})
    draw_ground(sketch, frame)
    for ring in rings:
        _draw_area(sketch, ring)
    places = _by_place(spots)
    for state in (State.OTHER, State.SEEN, State.WAITING):
        chosen = [spot for spot in places if spot.state is state]
        _draw_spots(sketch, chosen, state)
    draw_scale(sketch, frame)
    return sketch.figure()


def _by_place(spots: Sequence[Spot]) -> list[Spot]:
    """One mark a place, the gravest; its words name every support there."""
    at: dict[tuple[float, float], list[Spot]] = {}
    for spot in spots:
        at.setdefault(spot.place, []).append(spot)
    gravity = list(State)
    joined = []
    for place, there in at.items():
        first, *others = sorted(there, key=lambda spot: gravity.index(spot.state))
        codes = ", ".join(spot.code for spot in others[:_NAMED_AT_MOST])
        more = ", and more" if len(others) > _NAMED_AT_MOST else ""
        words = f"{first.words}<br>also here: {codes}{more}" if others else first.words
        joined.append(Spot(first.code, place, first.state, words))
    return joined


def frame_of(
    places: Sequence[tuple[float, float]], rings: Sequence[Ring]
) -> tuple[float, float, float, float]:
    """West, east, south and north of all supports, and of areas as far as they matter.

    A storm may be far larger than the city; the drawing then shows the city.
    """
    east = [place[0] for place in places]
    north = [place[1] for place in places]
    west_e, east_e, south_e, north_e = min(east), max(east), min(north), max(north)
    room = 0.25 * max(east_e - west_e, north_e - south_e, 0.004)
    corners = [corner for ring in rings for corner in ring]
    wide = [x for x, _ in corners if west_e - room <= x <= east_e + room]
    tall = [y for _, y in corners if south_e - room <= y <= north_e + room]
    edge = 0.3 * room
    return (
        min([west_e, *wide]) - edge,
        max([east_e, *wide]) + edge,
        min([south_e, *tall]) - edge,
        max([north_e, *tall]) + edge,
    )


def draw_ground(sketch: Sketch, frame: tuple[float, float, float, float]) -> None:
    """Set the axes: one scale both ways, true north up."""
    west, east, south, north = frame
    ratio = 1 / math.cos(math.radians((south + north) / 2))
    axis = {
        "showgrid": False, "zeroline": False, "showticklabels": False, "ticks": "",
        "showline": True, "linecolor": RULE, "mirror": True, "fixedrange": True,
        "constrain": "domain",
    }  # fmt: skip
    sketch.axes(
        {**axis, "range": [west, east]},
        {**axis, "range": [south, north], "scaleanchor": "x", "scaleratio": ratio},
    )
    sketch.words(
        "N ↑", x=0.5, y=1, xref="paper", yref="paper", yanchor="bottom",
        font={"color": INK},
    )  # fmt: skip


def _draw_area(sketch: Sketch, ring: Ring) -> None:
    corners = [*ring, ring[0]]
    sketch.scatter(
        x=[x for x, _ in corners], y=[y for _, y in corners], mode="lines",
        line={"color": OCHRE, "width": 1.5}, fill="toself",
        fillcolor=faded(OCHRE, 0.12), hoverinfo="skip", name="area",
    )  # fmt: skip


def _draw_spots(sketch: Sketch, spots: Sequence[Spot], state: State) -> None:
    look = {
        State.WAITING: {"symbol": "diamond", "size": 10, "color": BARK},
        State.SEEN: {"symbol": "circle", "size": 9, "color": PAPER},
        State.OTHER: {"symbol": "circle", "size": 5, "color": MUTED},
    }[state]
    edge = INK if state is State.SEEN else PAPER
    sketch.scatter(
        x=[spot.place[0] for spot in spots], y=[spot.place[1] for spot in spots],
        mode="markers", marker={**look, "line": {"color": edge, "width": 1.2}},
        text=[f"{spot.code}: {spot.words}" for spot in spots],
        hovertemplate="%{text}<extra></extra>", name=state.value,
    )  # fmt: skip
    if state is State.WAITING and len(spots) <= _NAMED_AT_MOST:
        for spot in spots:
            sketch.words(
                spot.code, x=spot.place[0], y=spot.place[1], yanchor="bottom", yshift=7,
                font={"color": INK, "size": 11},
            )  # fmt: skip


def draw_scale(sketch: Sketch, frame: tuple[float, float, float, float]) -> None:
    """A bar of about a quarter of the width, beneath the drawing."""
    west, east, south, north = frame
    km = KM_PER_DEGREE * math.cos(math.radians((south + north) / 2))
    wanted = 0.25 * (east - west) * km
    length = max([step for step in _STEPS_KM if step <= wanted], default=_STEPS_KM[0])
    y, x = south + 0.04 * (north - south), west + 0.03 * (east - west)
    sketch.shape(
        type="line", x0=x, x1=x + length / km, y0=y, y1=y,
        line={"color": INK, "width": 2},
    )  # fmt: skip
    said = f"{length:g} km" if length >= 1 else f"{1000 * length:g} m"
    sketch.words(
        said, x=x + length / km / 2, y=y, yanchor="bottom",
        font={"color": INK, "size": 11},
    )  # fmt: skip
