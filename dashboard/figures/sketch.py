"""A drawing in the making: plain parts, sent to the browser as they are.

Plotly's own figure checks every part, which takes longer than all the rest of a page;
tests let it check, pages do without. Adding parts to a finished figure one at a time
takes ten times as long again.
"""

from dataclasses import dataclass, field
from typing import Any

import plotly.graph_objects as go


@dataclass(frozen=True, slots=True)
class Sketch:
    """Traces and layout as plotly names them."""

    layout: dict[str, Any]
    traces: list[dict[str, Any]] = field(default_factory=list)
    shapes: list[dict[str, Any]] = field(default_factory=list)
    notes: list[dict[str, Any]] = field(default_factory=list)

    def scatter(self, **trace: Any) -> None:  # noqa: ANN401 - plotly's own names
        """Add points or a line."""
        self.traces.append({"type": "scatter", **trace})

    def shape(self, **shape: Any) -> None:  # noqa: ANN401 - plotly's own names
        """Add a line or circle that is no data."""
        self.shapes.append(shape)

    def words(self, text: str, **place: Any) -> None:  # noqa: ANN401 - plotly's own names
        """Add words without an arrow."""
        self.notes.append({"text": text, "showarrow": False, **place})

    def axes(self, x: dict[str, Any], y: dict[str, Any]) -> None:
        """Set both axes."""
        self.layout.update(xaxis=x, yaxis=y)

    def plain(self) -> dict[str, Any]:
        """The finished drawing, as the browser takes it."""
        layout = {**self.layout, "shapes": self.shapes, "annotations": self.notes}
        return {"data": self.traces, "layout": layout}

    def figure(self) -> go.Figure:
        """The finished drawing, checked."""
        drawn = self.plain()
        drawn["layout"]["template"] = "none"  # else a page of defaults comes along
        return go.Figure(drawn)
