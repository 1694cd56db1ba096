"""Hours of work by month, with how far they may go up or down."""

from collections.abc import Sequence
from datetime import date

import plotly.graph_objects as go

from dashboard.figures.theme import FAN, INK, MUTED, RULE, base_figure

Row = tuple[date, float, float, float]
"""First day of the month; low, median and high hours."""


def years_chart(rows: Sequence[Row]) -> go.Figure:
    """A bar a month to the median, a line from low to high."""
    sketch = base_figure(240, margin={"l": 40, "r": 12, "t": 24, "b": 32})
    months = [on for on, *_ in rows]
    sketch.traces.append(
        {
            "type": "bar",
            "x": months,
            "y": [median for _, _, median, _ in rows],
            "marker": {"color": FAN},
            "error_y": {
                "type": "data",
                "symmetric": False,
                "array": [high - median for _, _, median, high in rows],
                "arrayminus": [median - low for _, low, median, _ in rows],
                "color": INK,
                "thickness": 1,
                "width": 0,
            },
            "hovertemplate": "%{x|%B %Y}: %{y:.0f} h<extra></extra>",
        }
    )
    sketch.words(
        "hours a month, with the 5 % and the 95 % case",
        x=0, y=1.1, xref="paper", yref="paper", xanchor="left",
        font={"color": MUTED},
    )  # fmt: skip
    sketch.axes(
        {"showgrid": False, "linecolor": INK, "showline": True, "fixedrange": True},
        {"gridcolor": RULE, "rangemode": "tozero", "fixedrange": True},
    )
    return sketch.figure()
