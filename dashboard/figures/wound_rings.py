"""An open wound as rings to scale, one a look, closing year by year."""

import math
from datetime import date

import pandas as pd

from dashboard.figures.sketch import Sketch
from dashboard.figures.theme import (
    INK,
    MUTED,
    PAPER,
    ageing,
    base_figure,
    day,
    empty_sketch,
    faded,
)
from monitor.units import show

_POINTS = 73


def wound_rings(rings: pd.DataFrame, *, hardware_mm: float | None) -> Sketch:
    """Draw the opening at each look.

    Parameters
    ----------
    rings : columns on, width, height [mm]; oldest first
    hardware_mm : diameter of the rod or pin in the hole [mm], None if not known
    """
    if rings.empty:
        return empty_sketch(
            "Width and height of the wound have not been measured together yet."
        )
    half_width = 0.5 * float(rings["width"].max()) or 1.0
    half_height = 0.5 * float(rings["height"].max()) or 1.0
    sketch = base_figure(340, margin={"l": 8, "r": 8, "t": 12, "b": 34})
    _set_scale(sketch, half_width, half_height)
    shades = ageing(len(rings))
    for shade, row in zip(shades, rings.itertuples(), strict=True):
        _draw_ring(sketch, row, shade)
    _label(sketch, rings, half_height)
    remark = ""
    if hardware_mm:
        _draw_hardware(sketch, hardware_mm)
        remark = f"; the disc is the hardware, {show(hardware_mm, 'mm')}"
    _draw_bar(sketch, half_width, half_height, remark)
    return sketch


def _set_scale(sketch: Sketch, half_width: float, half_height: float) -> None:
    hidden = {"visible": False, "fixedrange": True, "constrain": "domain"}
    sketch.layout.update(
        xaxis={**hidden, "range": [-1.2 * half_width, 1.2 * half_width]},
        yaxis={
            **hidden,
            "range": [-1.45 * half_height, 1.2 * half_height],
            "scaleanchor": "x",
            "scaleratio": 1,
        },
    )


def _draw_ring(sketch: Sketch, row: object, shade: str) -> None:
    on: date = row.on  # type: ignore[attr-defined]  # a row of the frame above
    width, height = float(row.width), float(row.height)  # type: ignore[attr-defined]
    turns = [2 * math.pi * n / (_POINTS - 1) for n in range(_POINTS)]
    sketch.scatter(
        x=[0.5 * width * math.cos(turn) for turn in turns],
        y=[0.5 * height * math.sin(turn) for turn in turns],
        mode="lines",
        line={"color": shade, "width": 2},
        text=f"{day(on)}: {show(width, 'mm')} wide, {show(height, 'mm')} high",
        hovertemplate="%{text}<extra></extra>",
        name=str(on.year),
    )


def _label(sketch: Sketch, rings: pd.DataFrame, half_height: float) -> None:
    """Year and size of the first ring, on it, and of the newest, within."""
    first, last = rings.iloc[0], rings.iloc[-1]
    ends = [(first, half_height, "bottom")]
    if len(rings) > 1:
        ends.append((last, -0.5 * float(last["height"]), "top"))
    for row, y, anchor in ends:
        sketch.words(
            f"{row['on'].year}: {show(row['width'], 'mm')} × "
            f"{show(row['height'], 'mm')}",
            x=0,
            y=y,
            yanchor=anchor,
            yshift=2 if anchor == "bottom" else -2,
            font={"color": INK, "size": 12},
            bgcolor=PAPER,
            borderpad=2,
        )


def _draw_hardware(sketch: Sketch, diameter_mm: float) -> None:
    radius = diameter_mm / 2
    sketch.shape(
        type="circle", x0=-radius, x1=radius, y0=-radius, y1=radius,
        line={"color": MUTED, "width": 1}, fillcolor=faded(MUTED, 0.25),
        layer="below",
    )  # fmt: skip


def _draw_bar(
    sketch: Sketch, half_width: float, half_height: float, remark: str
) -> None:
    """A scale bar of a round length."""
    length = _round_length(half_width)
    y = -1.3 * half_height
    sketch.scatter(
        x=[-length / 2, length / 2], y=[y, y], mode="lines",
        line={"color": INK, "width": 2}, hoverinfo="skip", name="scale",
    )  # fmt: skip
    sketch.words(
        f"{length:g}\u2009mm{remark}",
        x=0,
        y=y,
        yanchor="top",
        yshift=-2,
        font={"color": MUTED, "size": 11},
    )


def _round_length(size: float) -> float:
    """The largest of 1, 2, 5, 10, ... that is not above `size`."""
    power = 10.0 ** math.floor(math.log10(size))
    return next(step * power for step in (5.0, 2.0, 1.0) if step * power <= size)
