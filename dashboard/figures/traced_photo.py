"""A photograph to trace an opening on, with the outlines it carries already."""

from collections.abc import Sequence
from dataclasses import dataclass

import plotly.graph_objects as go

from dashboard.figures.theme import BARK, PAPER, base_figure

HEIGHT_PX = 640


@dataclass(frozen=True, slots=True)
class Backdrop:
    """The photograph behind.

    Attributes
    ----------
    address : of the image
    aspect : height over width
    """

    address: str
    aspect: float


def traced_photo(
    back: Backdrop, outlines: Sequence[Sequence[tuple[float, float]]] = ()
) -> go.Figure:
    """Draw the photograph; x and y are shares of its sides, y from the top."""
    sketch = base_figure(HEIGHT_PX, margin={"l": 0, "r": 0, "t": 0, "b": 0})
    hidden = {"visible": False, "constrain": "domain"}
    sketch.layout.update(
        xaxis={**hidden, "range": [0, 1]},
        yaxis={
            **hidden,
            "range": [1, 0],
            "scaleanchor": "x",
            "scaleratio": back.aspect,
        },
        images=[
            {
                "source": back.address, "xref": "x", "yref": "y", "x": 0, "y": 0,
                "sizex": 1, "sizey": 1, "sizing": "stretch", "layer": "below",
            }
        ],
        dragmode="drawclosedpath",
        newshape={
            "line": {"color": BARK, "width": 2},
            "fillcolor": "rgba(0,0,0,0)",
        },
    )  # fmt: skip
    for outline in outlines:
        x, y = zip(*[*outline, outline[0]], strict=True)
        for colour, width in ((PAPER, 5), (BARK, 2)):
            line = {"color": colour, "width": width}
            sketch.scatter(x=x, y=y, mode="lines", line=line, hoverinfo="skip")
    return sketch.figure()
