"""The share that lasts, as steps with their bounds, one strip a group."""

from collections.abc import Sequence
from dataclasses import dataclass

import plotly.graph_objects as go

from dashboard.figures.sketch import Sketch
from dashboard.figures.theme import (
    BARK,
    FAN,
    INK,
    MUTED,
    RULE,
    base_figure,
    empty_figure,
    faded,
)

STRIP_PX = 92
_GAP_PX = 34
MOST_STRIPS = 6

Step = tuple[float, float, float, float]
"""Years, share that lasts longer, and its bounds."""


@dataclass(frozen=True, slots=True)
class Strip:
    """One group of the drawing.

    Attributes
    ----------
    words : beside the name, such as how many there are
    is_few : drawn paler, since too few to compare
    """

    name: str
    words: str
    steps: Sequence[Step]
    is_few: bool


def lives_chart(strips: Sequence[Strip]) -> go.Figure:
    """Draw groups beneath each other on one axis of years."""
    strips = strips[:MOST_STRIPS]
    if not strips:
        return empty_figure("Nothing is recorded that could have lasted.")
    longest = max(strip.steps[-1][0] for strip in strips)
    count = len(strips)
    height = count * (STRIP_PX + _GAP_PX) + 44
    sketch = base_figure(height, margin={"l": 46, "r": 12, "t": 26, "b": 36})
    whole = height - 62
    for n, strip in enumerate(strips):
        top = 1 - n * (STRIP_PX + _GAP_PX) / whole
        _axes(sketch, n, (top - STRIP_PX / whole, top), longest, is_last=n == count - 1)
        _draw(sketch, strip, n)
        _name(sketch, strip, top)
    return sketch.figure()


def _axes(
    sketch: Sketch,
    n: int,
    domain: tuple[float, float],
    longest: float,
    *,
    is_last: bool,
) -> None:
    suffix = "" if n == 0 else str(n + 1)
    sketch.layout[f"xaxis{suffix}"] = {
        "range": [0, longest * 1.02], "anchor": f"y{suffix}", "showgrid": False,
        "zeroline": False, "showline": True, "linecolor": INK, "fixedrange": True,
        "showticklabels": is_last, "ticks": "outside" if is_last else "",
        "ticksuffix": " years" if longest < 3 else "", "tickfont": {"color": MUTED},
        "nticks": 6, "title": {"text": "years since installation" if is_last else "",
                               "font": {"color": MUTED, "size": 12}},
    }  # fmt: skip
    sketch.layout[f"yaxis{suffix}"] = {
        "range": [0, 1.04], "domain": [max(0.0, domain[0]), domain[1]],
        "anchor": f"x{suffix}", "tickvals": [0, 0.5, 1],
        "ticktext": ["0 %", "half", "all"], "gridcolor": RULE, "zeroline": False,
        "tickfont": {"color": MUTED, "size": 11}, "fixedrange": True,
    }  # fmt: skip


def _draw(sketch: Sketch, strip: Strip, n: int) -> None:
    suffix = "" if n == 0 else str(n + 1)
    axes = {"xaxis": f"x{suffix}", "yaxis": f"y{suffix}"}
    years = [step[0] for step in strip.steps]
    line = {"shape": "hv", "width": 0}
    sketch.scatter(
        x=years, y=[step[2] for step in strip.steps], mode="lines", line=line,
        hoverinfo="skip", name="low", **axes,
    )  # fmt: skip
    sketch.scatter(
        x=years, y=[step[3] for step in strip.steps], mode="lines", line=line,
        fill="tonexty", fillcolor=faded(FAN, 0.2 if strip.is_few else 0.35),
        hoverinfo="skip", name="high", **axes,
    )  # fmt: skip
    told = [
        f"after {year:.0f} years {share:.0%} ({low:.0%} to {high:.0%})"
        for year, share, low, high in strip.steps
    ]
    sketch.scatter(
        x=years, y=[step[1] for step in strip.steps], mode="lines",
        line={"shape": "hv", "width": 1.8, "color": MUTED if strip.is_few else BARK,
              "dash": "dot" if strip.is_few else "solid"},
        text=told, hovertemplate="%{text}<extra></extra>", name=strip.name, **axes,
    )  # fmt: skip


def _name(sketch: Sketch, strip: Strip, top: float) -> None:
    sketch.words(
        f"<b>{strip.name}</b>  {strip.words}", x=0, y=top, xref="paper", yref="paper",
        xanchor="left", yanchor="bottom", yshift=2, font={"color": INK, "size": 13},
    )  # fmt: skip
