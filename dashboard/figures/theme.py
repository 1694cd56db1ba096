"""One look for all drawings: ink, bark, a warm ramp, system fonts, few lines.

Every colour here has a rule in `assets/underprop.css` that swaps it in the dark and
on paper, because plotly writes colours into the drawing itself.
"""

from collections.abc import Sequence
from datetime import date
from typing import Any

import plotly.graph_objects as go

from dashboard.figures.sketch import Sketch

INK = "rgb(30, 39, 33)"
MUTED = "rgb(91, 101, 94)"
RULE = "rgb(218, 211, 195)"
PAPER = "rgb(251, 248, 241)"
BARK = "rgb(122, 69, 38)"
WATCH = "rgb(138, 101, 16)"
ACT = "rgb(148, 62, 26)"
FAN = "rgb(196, 141, 104)"
BONE = "rgb(231, 222, 203)"
STRAW = "rgb(203, 180, 134)"
OCHRE = "rgb(168, 124, 70)"
COLOURS = (INK, MUTED, RULE, PAPER, BARK, WATCH, ACT, FAN, BONE, STRAW, OCHRE)

AGES = (BONE, STRAW, OCHRE, BARK, INK)
"""From the oldest to the newest."""

FONT = "system-ui, -apple-system, 'Segoe UI', Roboto, 'Noto Sans', sans-serif"
SIZE = 13
LEFT, RIGHT = 46, 104
PLOT_PX = 182
"""Height of the drawing proper of a chart of one quantity. [px]"""


def base_figure(height: int, *, margin: dict[str, int]) -> Sketch:
    """An empty drawing in our look. [px]"""
    plain = {"family": FONT, "size": SIZE, "color": INK}
    return Sketch(
        {
            "height": height,
            "margin": {"pad": 0, **margin},
            "paper_bgcolor": "rgba(0,0,0,0)",
            "plot_bgcolor": "rgba(0,0,0,0)",
            "font": plain,
            "showlegend": False,
            "hovermode": "closest",
            "dragmode": False,
            "hoverlabel": {
                "bgcolor": PAPER,
                "bordercolor": INK,
                "font": plain,
                "align": "left",
            },
        }
    )


def time_axis(span: tuple[date, date], *, ticks: bool = True) -> dict[str, Any]:
    """The x axis that all drawings of one support share; years only."""
    return {
        "range": [span[0].isoformat(), span[1].isoformat()],
        "type": "date",
        "tickformat": "%Y",
        "nticks": 5,
        "showticklabels": ticks,
        "showgrid": False,
        "zeroline": False,
        "showline": True,
        "linecolor": INK,
        "linewidth": 1,
        "ticks": "outside",
        "ticklen": 5,
        "tickcolor": INK,
        "tickfont": {"color": MUTED},
        "fixedrange": True,
    }


def value_axis(low: float, high: float) -> dict[str, Any]:
    """A quiet y axis with few faint lines."""
    return {
        "range": [low, high],
        "nticks": 5,
        "showgrid": True,
        "gridcolor": RULE,
        "gridwidth": 1,
        "zeroline": False,
        "ticks": "",
        "tickfont": {"color": MUTED},
        "fixedrange": True,
        "tickformat": "~g",
        "separatethousands": True,
    }


def spread(
    levels: Sequence[float], reach: tuple[float, float], *, gap_px: float
) -> list[float]:
    """How far to push the labels of neighbouring levels apart. [px]

    Parameters
    ----------
    reach : lowest and highest value of the axis
    """
    px_per_unit = PLOT_PX / (reach[1] - reach[0])
    order = sorted(range(len(levels)), key=lambda i: levels[i])
    places: list[tuple[float, int]] = []  # runs of labels that touch: centre, how many
    for i in order:
        places.append((levels[i] * px_per_unit, 1))
        while len(places) > 1 and _touch(places[-2], places[-1], gap_px):
            (below, n), (above, m) = places[-2:]
            places[-2:] = [((below * n + above * m) / (n + m), n + m)]
    seats = [
        centre + (k - (count - 1) / 2) * gap_px
        for centre, count in places
        for k in range(count)
    ]
    shifts = [0.0] * len(levels)
    for i, seat in zip(order, seats, strict=True):
        shifts[i] = seat - levels[i] * px_per_unit
    return shifts


def _touch(below: tuple[float, int], above: tuple[float, int], gap_px: float) -> bool:
    return above[0] - below[0] < gap_px * (below[1] + above[1]) / 2


def empty_figure(message: str) -> go.Figure:
    """A sentence in place of a drawing without data, checked."""
    return empty_sketch(message).figure()


def empty_sketch(message: str) -> Sketch:
    """A sentence in place of a drawing without data."""
    sketch = base_figure(72, margin={"l": 0, "r": 0, "t": 8, "b": 8})
    sketch.layout.update(xaxis={"visible": False}, yaxis={"visible": False})
    sketch.words(message, x=0, y=0.5, xref="paper", yref="paper", xanchor="left")
    return sketch


def ageing(n: int) -> list[str]:
    """So many shades from pale to dark, the oldest first."""
    if n == 1:
        return [INK]
    return [AGES[round(i * (len(AGES) - 1) / (n - 1))] for i in range(n)]


def faded(colour: str, share: float) -> str:
    """The same colour, seen through.

    Examples
    --------
    >>> faded("rgb(1, 2, 3)", 0.5)
    'rgba(1, 2, 3, 0.5)'
    """
    return f"{colour.replace('rgb', 'rgba')[:-1]}, {share:g})"


def day(on: date) -> str:
    """A date on a drawing, such as “14 May 2031”."""
    return f"{on.day} {on:%B %Y}"
