"""The map: supports by shape, joined with a count where they lie close."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import plotly.graph_objects as go

from dashboard.figures.map_clusters import Cluster, MapSpot, clusters, fit
from dashboard.figures.map_ink import MapInk, map_style
from dashboard.figures.theme import BARK, INK, PAPER, base_figure, empty_figure

NAMED_FROM = 15.5
"""Codes are written beside single supports from this zoom on."""

NAMED_AT_MOST = 12
HEIGHT_PX = 560
NOWHERE = "Where the supports stand was never noted."


@dataclass(frozen=True, slots=True)
class Legend:
    """Shape and word of each state, the gravest first."""

    shapes: tuple[str, ...]
    words: tuple[str, ...]
    loud: int
    """So many of the first states stand out."""


STANDINGS = Legend(
    ("▣", "●", "◐", "○", "┄"),
    ("make safe", "act", "watch", "holding", "not assessed"),
    2,
)
LOOKS = Legend(("◆", "◇", "·"), ("still to be looked at", "looked at", "not called"), 1)


@dataclass(frozen=True, slots=True)
class View:
    """How the map is looked at.

    Attributes
    ----------
    width_px : of the drawing
    zoom : None to show everything
    """

    ink: MapInk
    legend: Legend
    ground_url: str = ""
    tile_url: str = ""
    width_px: float = 700
    zoom: float | None = None
    outline: tuple[tuple[float, float], ...] = ()


def map_drawing(spots: Sequence[MapSpot], view: View) -> go.Figure:
    """Draw all supports, with an event's area if there is one."""
    if not spots:
        return empty_figure(NOWHERE)
    centre, zoom = fit([spot.place for spot in spots], view.width_px, HEIGHT_PX)
    found = clusters(spots, zoom if view.zoom is None else view.zoom)
    many = [one for one in found if len(one.spots) > 1]
    single = [one for one in found if len(one.spots) == 1]
    sketch = base_figure(HEIGHT_PX, margin={"l": 0, "r": 0, "t": 0, "b": 0})
    sketch.traces.extend(_outline(view))
    sketch.traces.extend(_many(many, view))
    sketch.traces.extend(_single(single, view, zoom))
    sketch.layout.update(
        dragmode="pan",
        uirevision="kept",
        hoverlabel={"bgcolor": PAPER, "bordercolor": INK, "align": "left",
                    "font": {"color": INK, "size": 13}},
        newselection={"line": {"color": BARK, "width": 2, "dash": "solid"}},
        map={
            "style": map_style(
                view.ink, ground_url=view.ground_url, tile_url=view.tile_url
            ),
            "center": {"lon": centre[0], "lat": centre[1]},
            "zoom": zoom,
        },
    )  # fmt: skip
    return sketch.figure()


def _outline(view: View) -> list[dict[str, Any]]:
    if not view.outline:
        return []
    corners = (*view.outline, view.outline[0])
    return [
        {
            "type": "scattermap", "mode": "lines", "hoverinfo": "skip",
            "lon": [x for x, _ in corners], "lat": [y for _, y in corners],
            "line": {"color": view.ink.bark, "width": 2}, "name": "area",
        }
    ]  # fmt: skip


def _many(found: Sequence[Cluster], view: View) -> list[dict[str, Any]]:
    """A ring with the count, and beneath it how many are in the gravest state."""
    sizes = [_size_px(len(one.spots)) for one in found]
    ring = {
        **_places(found), "mode": "markers", "hoverinfo": "skip", "name": "edge",
        "marker": {"size": [s + 3 for s in sizes], "opacity": 1, "allowoverlap": True,
                   "color": [_colour(one, view) for one in found]},
    }  # fmt: skip
    face = {
        **_places(found), "mode": "markers+text", "name": "joined",
        "marker": {"size": sizes, "color": view.ink.paper, "opacity": 1,
                   "allowoverlap": True},
        "text": [str(len(one.spots)) for one in found],
        "textposition": "middle center",
        "textfont": {"size": 13, "color": view.ink.ink},
        "hovertext": [_told(one, view.legend) for one in found],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "customdata": [[spot.code for spot in one.spots] for one in found],
    }  # fmt: skip
    grave = [one for one in found if one.rank < view.legend.loud]
    shapes = view.legend.shapes
    words = [f"{shapes[one.rank]} {one.gravest}" for one in grave]
    return [ring, face, _beneath(grave, words, view.ink.rust, name="gravest")]


def _single(
    found: Sequence[Cluster], view: View, fitted: float
) -> list[dict[str, Any]]:
    """A shape each, with its code beneath when one is near or there are few."""
    zoom = fitted if view.zoom is None else view.zoom
    shapes = view.legend.shapes
    loud = [one.rank < view.legend.loud for one in found]
    marks = {
        **_places(found), "mode": "markers+text", "name": "single",
        "marker": {"size": 20, "color": view.ink.paper, "opacity": 0.85,
                   "allowoverlap": True},
        "text": [shapes[one.rank] for one in found],
        "textposition": "middle center",
        "textfont": {"size": 18, "color": view.ink.ink},
        "hovertext": [one.spots[0].words for one in found],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "customdata": [[one.spots[0].code] for one in found],
    }  # fmt: skip
    is_near = zoom >= NAMED_FROM or len(found) <= NAMED_AT_MOST
    named = [
        one for one, is_loud in zip(found, loud, strict=True) if is_near or is_loud
    ]
    codes = [one.spots[0].code for one in named]
    return [marks, _beneath(named, codes, view.ink.ink, name="codes")]


def _beneath(
    found: Sequence[Cluster], words: list[str], colour: str, *, name: str
) -> dict[str, Any]:
    """Words under marks; an unseen mark keeps them off."""
    return {
        **_places(found), "mode": "markers+text", "name": name, "hoverinfo": "skip",
        "marker": {"size": 42, "opacity": 0, "allowoverlap": True}, "text": words,
        "textposition": "bottom center", "textfont": {"size": 12, "color": colour},
    }  # fmt: skip


def _places(found: Sequence[Cluster]) -> dict[str, Any]:
    return {
        "type": "scattermap",
        "lon": [one.place[0] for one in found],
        "lat": [one.place[1] for one in found],
    }


def _size_px(count: int) -> float:
    """Of a ring; it grows slowly with what it holds."""
    return 22 + 6 * min(4, len(str(count)) - 1) + min(8, count / 12)


def _colour(one: Cluster, view: View) -> str:
    return view.ink.rust if one.rank < view.legend.loud else view.ink.muted


def _told(one: Cluster, legend: Legend) -> str:
    """How many of each state, and the first codes."""
    counts = [
        (sum(spot.rank == rank for spot in one.spots), word)
        for rank, word in enumerate(legend.words)
    ]
    lines = [f"{many} {word}" for many, word in counts if many]
    codes = ", ".join(spot.code for spot in one.spots[:6])
    more = " …" if len(one.spots) > 6 else ""
    return "<br>".join([f"<b>{len(one.spots)} supports</b>", *lines, codes + more])
