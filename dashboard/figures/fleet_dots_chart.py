"""A number with its bounds for each group: a dot and a line, one row each."""

from collections.abc import Sequence
from dataclasses import dataclass

import plotly.graph_objects as go

from dashboard.figures.theme import BARK, INK, MUTED, PAPER, base_figure, empty_figure

ROW_PX = 30
MOST_ROWS = 12


@dataclass(frozen=True, slots=True)
class Dot:
    """One group.

    Attributes
    ----------
    low, high : bounds, None where there are too few
    words : said on pointing at it
    is_few : drawn hollow
    """

    name: str
    value: float
    low: float | None
    high: float | None
    words: str
    is_few: bool


def dots_chart(
    dots: Sequence[Dot], *, axis: str, mark: float, mark_words: str
) -> go.Figure:
    """Draw the groups from top to bottom, about a thin line at one value.

    Parameters
    ----------
    axis : what is drawn, with its unit
    mark : where the line stands
    """
    dots = dots[:MOST_ROWS]
    if not dots:
        return empty_figure("Nothing is known of this yet.")
    height = len(dots) * ROW_PX + 78
    sketch = base_figure(height, margin={"l": 150, "r": 16, "t": 24, "b": 46})
    rows = list(range(len(dots)))
    for dot, row in zip(dots, rows, strict=True):
        if dot.low is not None and dot.high is not None:
            sketch.shape(
                type="line", x0=dot.low, x1=dot.high, y0=row, y1=row,
                line={"color": MUTED if dot.is_few else INK, "width": 1.5},
            )  # fmt: skip
    sketch.scatter(
        x=[dot.value for dot in dots], y=rows, mode="markers", name="groups",
        marker={"size": 9, "color": [PAPER if d.is_few else BARK for d in dots],
                "line": {"color": [MUTED if d.is_few else BARK for d in dots],
                         "width": 1.6}},
        text=[dot.words for dot in dots], hovertemplate="%{text}<extra></extra>",
    )  # fmt: skip
    sketch.shape(
        type="line", x0=mark, x1=mark, y0=0, y1=1, yref="paper",
        line={"color": MUTED, "width": 1},
    )  # fmt: skip
    sketch.words(
        mark_words, x=mark, y=1, yref="paper", yanchor="bottom",
        font={"color": MUTED, "size": 12},
    )  # fmt: skip
    ends = [mark, *(x for d in dots for x in (d.value, d.low, d.high) if x is not None)]
    room = 0.06 * (max(ends) - min(ends) or 1)
    sketch.axes(
        {"range": [min(ends) - room, max(ends) + room], "showgrid": False,
         "zeroline": False, "showline": True, "linecolor": INK, "fixedrange": True,
         "tickfont": {"color": MUTED}, "nticks": 6, "ticks": "outside",
         "title": {"text": axis, "font": {"color": MUTED, "size": 12}}},
        {"range": [len(dots) - 0.5, -0.5], "tickvals": rows, "fixedrange": True,
         "ticktext": [_short(dot.name) for dot in dots], "showgrid": False,
         "zeroline": False, "tickfont": {"color": INK}},
    )  # fmt: skip
    return sketch.figure()


def _short(name: str) -> str:
    return name if len(name) <= 22 else f"{name[:20]}…"
