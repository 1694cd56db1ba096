"""What a member carries over what is allowed, through the years."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import plotly.graph_objects as go

from dashboard.figures.sketch import Sketch
from dashboard.figures.theme import (
    ACT,
    BARK,
    FAN,
    INK,
    LEFT,
    MUTED,
    PLOT_PX,
    RIGHT,
    base_figure,
    faded,
    spread,
    time_axis,
    value_axis,
)

Years = Sequence[tuple[date, float, float, float]]
"""Day with the 5, 50 and 95 % use, 1 being all that is allowed, oldest first."""

ALLOWED = "allowed"
_FAN_WORDS = ("5\u2009%", "half", "95\u2009%")
_LEAST_TOP, _MOST_TOP, _HEADROOM = 125.0, 400.0, 1.2
_STEPS_YEARS, _MOST_YEARS = (1, 2, 5, 10, 20, 50, 100), 3
_TALLER_PX = 60


@dataclass(frozen=True, slots=True)
class MarginSetting:
    """What the drawing is about.

    Attributes
    ----------
    what_if : the same years asked anew, empty if nothing was asked
    """

    today: date
    what_if: Years = ()


def margin_chart(years: Years, setting: MarginSetting) -> go.Figure:
    """Use in ink up to today, the fan ahead, a line at all that is allowed."""
    rows = [_percent(row) for row in years]
    asked = [_percent(row) for row in setting.what_if if row[0] >= setting.today]
    top = _top(rows, asked, setting.today)
    margin = {"l": LEFT, "r": RIGHT, "t": 26, "b": 28}
    sketch = base_figure(PLOT_PX + _TALLER_PX + 54, margin=margin)
    span = rows[0][0], rows[-1][0]
    few = {"tickmode": "array", "tickvals": _round_years(span), "tickangle": 0}
    sketch.layout.update(xaxis=time_axis(span) | few, yaxis=value_axis(0.0, top))
    ahead = [row for row in rows if row[0] >= setting.today]
    past = [row for row in rows if row[0] <= setting.today]
    _draw_line(sketch, past, top, INK)
    if asked:
        _draw_line(sketch, ahead, top, BARK, dash="4px,4px")
    _draw_fan(sketch, asked or ahead, top)
    _draw_allowed(sketch, span)
    _name_ends(sketch, ahead, asked, top)
    _draw_today(sketch, setting.today)
    sketch.words(
        "%", x=0, y=1, xref="paper", yref="paper",
        xanchor="left", yanchor="bottom", xshift=-LEFT, yshift=5,
        font={"color": MUTED},
    )  # fmt: skip
    return sketch.figure()


def _round_years(span: tuple[date, date]) -> list[str]:
    """Round years to name, so few that they stand upright on the narrowest phone."""
    first, last = span[0].year + 1, span[1].year
    for step in _STEPS_YEARS:
        years = [year for year in range(first, last + 1) if year % step == 0]
        if len(years) <= _MOST_YEARS:
            break
    return [date(year, 1, 1).isoformat() for year in years]


def _percent(row: tuple[date, float, float, float]) -> tuple[date, float, float, float]:
    on, low, mid, high = row
    return on, 100.0 * low, 100.0 * mid, 100.0 * high


def _top(rows: Years, asked: Years, today: date) -> float:
    """The upper end of the axis: the fan, but no more than can be read beside 100 %."""
    mids = [mid for on, _, mid, _ in rows if on <= today] + [
        row[2] for row in asked[:1]
    ]
    wanted = max(row[3] for row in [*rows, *asked])
    most = max(_HEADROOM * max(mids), min(2.0 * max(mids), _MOST_TOP))
    return max(_LEAST_TOP, min(_HEADROOM * wanted, most))


def _draw_fan(sketch: Sketch, rows: Years, top: float) -> None:
    if len(rows) < 2:
        return
    on = [row[0] for row in rows]
    low, mid, high = ([min(row[i], top) for row in rows] for i in (1, 2, 3))
    quiet = {"mode": "lines", "line": {"width": 0, "color": FAN}, "hoverinfo": "skip"}
    sketch.scatter(x=on, y=low, **quiet)
    for level, tint in ((mid, 0.42), (high, 0.24)):
        sketch.scatter(
            x=on, y=level, fill="tonexty", fillcolor=faded(FAN, tint), **quiet
        )
    _draw_line(sketch, rows, top, BARK)


def _draw_line(
    sketch: Sketch, rows: Years, top: float, colour: str, dash: str = "solid"
) -> None:
    sketch.scatter(
        x=[row[0] for row in rows],
        y=[min(row[2], top) for row in rows],
        mode="lines",
        line={"color": colour, "width": 1.8, "dash": dash},
        text=[
            f"{on.year}: {mid:.0f}\u2009% ({low:.0f} to {high:.0f})"
            for on, low, mid, high in rows
        ],
        hovertemplate="%{text}<extra></extra>",
    )


def _draw_allowed(sketch: Sketch, span: tuple[date, date]) -> None:
    sketch.shape(
        type="line", x0=span[0].isoformat(), x1=span[1].isoformat(), y0=100.0,
        y1=100.0, line={"color": ACT, "width": 1.3},
    )  # fmt: skip


def _draw_today(sketch: Sketch, today: date) -> None:
    sketch.shape(
        type="line", x0=today.isoformat(), x1=today.isoformat(), y0=0, y1=1,
        yref="paper", line={"color": MUTED, "width": 1}, layer="below",
    )  # fmt: skip
    sketch.words(
        "today", x=today.isoformat(), y=1, yref="paper", yanchor="bottom",
        font={"color": MUTED, "size": 11},
    )  # fmt: skip


def _name_ends(sketch: Sketch, ahead: Years, asked: Years, top: float) -> None:
    """Names of lines at their right ends, pushed apart where they would touch."""
    labels = [(ALLOWED, 100.0, ACT)]
    named = asked or ahead
    if len(named) > 1:
        labels += [
            (name, level, BARK)
            for name, level in zip(_FAN_WORDS, named[-1][1:], strict=True)
        ]
    if len(asked) > 1:
        labels.append(("as it is", ahead[-1][2], BARK))
    levels = [min(level, top) for _, level, _ in labels]
    shifts = spread(levels, (0.0, top), gap_px=14.0)
    for (text, level, colour), seat, shift in zip(labels, levels, shifts, strict=True):
        beyond = " ↑" if level > top else ""
        sketch.words(
            text + beyond, x=1, xref="paper", y=seat, xanchor="left", xshift=5,
            yshift=shift, font={"color": colour, "size": 11.5},
        )  # fmt: skip
