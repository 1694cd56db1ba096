"""The way of the post head in plan, as a plumb bob would draw it on the ground."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from dashboard.figures.sketch import Sketch
from dashboard.figures.theme import (
    ACT,
    BARK,
    INK,
    MUTED,
    PAPER,
    RULE,
    WATCH,
    ageing,
    base_figure,
    day,
    empty_sketch,
)
from monitor.units import show

INSIDE_95 = math.sqrt(-2.0 * math.log(0.05))
"""Half axis of the 95 % ellipse of a plane normal distribution. [sd]"""

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class PlanSetting:
    """How tilt becomes a place on the plan.

    Attributes
    ----------
    bearing_deg : compass bearing of + x, None if it was never noted: then + x is up
    length_m : of the post; None shows the tilt itself [mm/m]
    baseline : first position of the segment, x and y [mm/m]
    watch, act : distance from the baseline [mm/m]
    position : x, y, sd x, sd y and correlation now [mm/m], None if not assessed
    """

    bearing_deg: float | None
    length_m: float | None
    baseline: tuple[float, float]
    watch: float | None
    act: float | None
    position: tuple[float, float, float, float, float] | None

    @property
    def unit(self) -> str:
        """Unit of the drawing."""
        return "mm" if self.length_m else "mm/m"

    @property
    def scale(self) -> float:
        """From mm/m to the drawing."""
        return self.length_m or 1.0


def plan_path(points: pd.DataFrame, setting: PlanSetting) -> Sketch:
    """Draw the present segment's path about its first position, true north up.

    Parameters
    ----------
    points : columns on, x, y [mm/m], doubted, stretch; oldest first
    """
    if points.empty:
        return empty_sketch("The tilt has not been measured along both axes yet.")
    current = points[points["stretch"] == points["stretch"].max()]
    along = np.asarray(current["x"], dtype=float) - setting.baseline[0]
    aside = np.asarray(current["y"], dtype=float) - setting.baseline[1]
    east, north = _on_ground(along, aside, setting)
    reach = _reach(east, north, setting)
    sketch = base_figure(360, margin={"l": 46, "r": 12, "t": 30, "b": 34})
    _draw_ground(sketch, reach, setting)
    for name, radius, colour in (
        ("watch", setting.watch, WATCH),
        ("act", setting.act, ACT),
    ):
        if radius is not None:
            side = -1.0 if north[-1] > 0 else 1.0
            label = f"{name} {show(radius * setting.scale, setting.unit)}"
            _draw_circle(sketch, radius * setting.scale, side, (label, colour))
    _draw_ellipse(sketch, setting)
    _draw_path(sketch, current, (east, north), (setting.unit, reach))
    return sketch


def _on_ground(
    along: Floats, aside: Floats, setting: PlanSetting
) -> tuple[Floats, Floats]:
    """From post axes to east and north; + y is 90° clockwise of + x from above."""
    bearing = math.radians(setting.bearing_deg or 0.0)
    east = along * math.sin(bearing) + aside * math.cos(bearing)
    north = along * math.cos(bearing) - aside * math.sin(bearing)
    return east * setting.scale, north * setting.scale


def _reach(east: Floats, north: Floats, setting: PlanSetting) -> float:
    """Half width of the drawing: the path and the limit circles."""
    sizes = [float(np.abs(east).max()), float(np.abs(north).max()), 1.0]
    sizes += [limit * setting.scale for limit in (setting.watch, setting.act) if limit]
    return 1.18 * max(sizes)


def _draw_ground(sketch: Sketch, reach: float, setting: PlanSetting) -> None:
    axis = {
        "range": [-reach, reach], "zeroline": True, "zerolinecolor": RULE,
        "zerolinewidth": 1, "showgrid": False, "nticks": 5, "fixedrange": True,
        "tickfont": {"color": MUTED, "size": 11}, "tickformat": "~g",
        "ticks": "outside", "ticklen": 4, "tickcolor": RULE,
        "showline": True, "linecolor": RULE,
        "mirror": True,
    }  # fmt: skip
    sketch.layout.update(
        xaxis={**axis, "constrain": "domain"},
        yaxis={**axis, "scaleanchor": "x", "scaleratio": 1, "constrain": "domain"},
    )
    up = "away from the stem" if setting.bearing_deg is None else "N ↑"
    sketch.words(
        up,
        x=0,
        y=1,
        xref="x",
        yref="paper",
        yanchor="bottom",
        font={"color": INK},
    )
    sketch.words(
        setting.unit,
        x=1,
        y=0,
        xref="paper",
        yref="paper",
        xanchor="right",
        yanchor="top",
        yshift=-18,
        font={"color": MUTED, "size": 11},
    )


def _draw_circle(
    sketch: Sketch,
    radius: float,
    side: float,
    style: tuple[str, str],
) -> None:
    """A limit, with its label at the top or bottom, where the path does not end."""
    label, colour = style
    is_act = label.startswith("act")
    sketch.shape(
        type="circle", x0=-radius, x1=radius, y0=-radius, y1=radius,
        line={"color": colour, "width": 1.5, "dash": "solid" if is_act else "6px,4px"},
        layer="below",
    )  # fmt: skip
    sketch.words(
        label,
        x=0,
        y=side * radius,
        font={"color": colour, "size": 11},
        bgcolor=PAPER,
        borderpad=1,
    )


def _draw_path(
    sketch: Sketch,
    points: pd.DataFrame,
    place: tuple[Floats, Floats],
    scale: tuple[str, float],
) -> None:
    east, north = place
    unit, reach = scale
    shades = ageing(len(points))
    for n in range(1, len(points)):
        sketch.scatter(
            x=east[n - 1 : n + 1].tolist(), y=north[n - 1 : n + 1].tolist(),
            mode="lines", line={"color": shades[n], "width": 2}, hoverinfo="skip",
        )  # fmt: skip
    doubted = list(points["doubted"])
    sketch.scatter(
        x=east.tolist(),
        y=north.tolist(),
        mode="markers",
        marker={
            "size": 8,
            "color": [PAPER if d else s for d, s in zip(doubted, shades, strict=True)],
            "line": {"color": shades, "width": 1.6},
        },
        text=[
            f"{day(on)}: {show(math.hypot(x, y), unit)} from the first position"
            for on, x, y in zip(points["on"], east, north, strict=True)
        ],
        hovertemplate="%{text}<extra></extra>",
        name="path",
    )
    _label_ends(sketch, points, place, reach)


def _label_ends(
    sketch: Sketch,
    points: pd.DataFrame,
    place: tuple[Floats, Floats],
    reach: float,
) -> None:
    """The years of the first and the newest position, in one where they lie close."""
    east, north = place
    last = len(points) - 1
    years = [points["on"].iloc[n].year for n in (0, last)]
    moved = math.hypot(east[last] - east[0], north[last] - north[0])
    labels = {0: str(years[0]), last: str(years[1])}
    if moved < 0.15 * reach:
        labels = {last: f"{years[0]} to {years[1]}" if last else str(years[0])}
    for n, label in labels.items():
        is_left = east[n] < east[last - n]
        sketch.words(
            label,
            x=float(east[n]),
            y=float(north[n]),
            xanchor="right" if is_left else "left",
            xshift=-10 if is_left else 10,
            font={"color": INK, "size": 12},
        )


def _draw_ellipse(sketch: Sketch, setting: PlanSetting) -> None:
    if setting.position is None:
        return
    x, y, sd_x, sd_y, corr = setting.position
    root = _root(sd_x, sd_y, corr)
    turn = np.linspace(0.0, 2 * math.pi, 73)
    along, aside = INSIDE_95 * root @ np.array([np.cos(turn), np.sin(turn)])
    east, north = _on_ground(
        along + x - setting.baseline[0], aside + y - setting.baseline[1], setting
    )
    sketch.scatter(
        x=east.tolist(), y=north.tolist(), mode="lines",
        line={"color": BARK, "width": 1.2}, name="ellipse",
        hovertemplate="here with 95\u2009% probability<extra></extra>",
    )  # fmt: skip


def _root(sd_x: float, sd_y: float, corr: float) -> Floats:
    """A matrix whose product with its transpose is the covariance."""
    return np.array(
        [[sd_x, 0.0], [corr * sd_y, sd_y * math.sqrt(max(0.0, 1.0 - corr**2))]]
    )
