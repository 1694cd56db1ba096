"""One quantity through time: readings, noise, work, forecast, limits."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import pandas as pd

from dashboard.figures.sketch import Sketch
from dashboard.figures.theme import (
    ACT,
    BARK,
    FAN,
    INK,
    LEFT,
    MUTED,
    PAPER,
    PLOT_PX,
    RIGHT,
    WATCH,
    base_figure,
    day,
    empty_sketch,
    faded,
    spread,
    time_axis,
    value_axis,
)
from monitor.units import show

Fan = Sequence[tuple[date, float, float, float]]

_LIMIT_COLOURS = {"watch": WATCH, "act": ACT}
ROOM_FOR_FORECAST = 0.6
"""How far a forecast may stretch the drawing either way, in its height without it;
what goes further is said in words."""

_FAN_WORDS = ("5\u2009%", "half", "95\u2009%")


@dataclass(frozen=True, slots=True)
class LimitLine:
    """A level with its name, drawn from the start of the present segment.

    Attributes
    ----------
    name : "watch" or "act"
    """

    name: str
    level: float
    from_on: date


@dataclass(frozen=True, slots=True)
class Setting:
    """What all drawings of one support share, and what this one is about.

    Attributes
    ----------
    span : first and last day of the axis
    fan_words : whether the forecast is named "5 %, half, 95 %" here
    breaks : (day, number of the flag) where the series starts anew
    reach : lowest and highest value to show, where charts share one scale [unit]
    """

    unit: str
    span: tuple[date, date]
    today: date
    fan_words: bool = False
    breaks: tuple[tuple[date, str], ...] = ()
    reach: tuple[float, float] | None = None


def series_chart(
    points: pd.DataFrame,
    misses: pd.DataFrame,
    fan: Fan,
    limits: Sequence[LimitLine],
    setting: Setting,
) -> Sketch:
    """Readings with bars of two standard deviations, and what is forecast.

    Parameters
    ----------
    points : columns on, value, sd, doubted, stretch, given, inspector
    misses : columns on, answer, reason
    fan : dates with the 5, 50 and 95 % levels
    """
    if points.empty:
        return empty_sketch("Nothing has been measured here yet.")
    fan = _until(fan, setting.span[1])
    low, high = setting.reach or _reach(points, fan, limits)
    margin = {"l": LEFT, "r": RIGHT, "t": 26, "b": 28}
    sketch = base_figure(PLOT_PX + 54, margin=margin)
    sketch.layout.update(xaxis=time_axis(setting.span), yaxis=value_axis(low, high))
    _draw_fan(sketch, fan, setting)
    _draw_limits(sketch, limits, setting)
    labels = [
        (
            f"{limit.name} {show(limit.level, setting.unit)}",
            limit.level,
            _LIMIT_COLOURS[limit.name],
        )
        for limit in limits
    ]
    if setting.fan_words and len(fan) > 1:
        labels += [
            (name, level, BARK)
            for name, level in zip(_FAN_WORDS, fan[-1][1:], strict=True)
        ]
    _name_ends(sketch, labels, (low, high))
    _say_beyond(sketch, fan, (low, high), setting)
    for is_doubted in (False, True):
        chosen = points[points["doubted"] == is_doubted]
        _draw_readings(sketch, chosen, setting.unit, hollow=is_doubted)
    _draw_misses(sketch, misses, low)
    _draw_days(sketch, setting)
    sketch.words(
        setting.unit,
        x=0,
        y=1,
        xref="paper",
        yref="paper",
        xanchor="left",
        yanchor="bottom",
        xshift=-LEFT,
        yshift=5,
        font={"color": MUTED},
    )
    return sketch


def _reach(
    points: pd.DataFrame, fan: Fan, limits: Sequence[LimitLine]
) -> tuple[float, float]:
    """The y range: all readings with their bars, the limits, the near forecast."""
    lows = list(points["value"] - 2 * points["sd"])
    highs = list(points["value"] + 2 * points["sd"])
    levels = [limit.level for limit in limits]
    low, high = min([*lows, *levels]), max([*highs, *levels])
    room = ROOM_FOR_FORECAST * ((high - low) or 1.0)
    if fan:
        low = max(min([low, *(row[1] for row in fan)]), low - room)
        high = min(max([high, *(row[3] for row in fan)]), high + room)
    pad = 0.06 * ((high - low) or 1.0)
    return low - pad, high + pad


def _draw_fan(sketch: Sketch, fan: Fan, setting: Setting) -> None:
    if len(fan) < 2:
        return
    on = [row[0] for row in fan]
    low, mid, high = ([row[i] for row in fan] for i in (1, 2, 3))
    quiet = {"mode": "lines", "line": {"width": 0, "color": FAN}, "hoverinfo": "skip"}
    sketch.scatter(x=on, y=low, **quiet)
    for level, tint in ((mid, 0.42), (high, 0.24)):
        sketch.scatter(
            x=on, y=level, fill="tonexty", fillcolor=faded(FAN, tint), **quiet
        )
    sketch.scatter(
        x=on,
        y=mid,
        mode="lines",
        line={"color": BARK, "width": 1.5},
        hovertemplate=(
            f"most likely %{{y:.1f}}\u2009{setting.unit}, %{{x|%Y}}<extra></extra>"
        ),
        name="half",
    )


def _say_beyond(
    sketch: Sketch, fan: Fan, reach: tuple[float, float], setting: Setting
) -> None:
    """Where the forecast leaves the drawing, and how far it goes."""
    low, high = reach
    above = [(on, top) for on, _, _, top in fan if top > high]
    below = [(on, bottom) for on, bottom, _, _ in fan if bottom < low]
    for left, arrow, level, anchor in (
        (above, "\u2191", high, "top"),
        (below, "\u2193", low, "bottom"),
    ):
        if not left:
            continue
        on, furthest = left[-1]
        sketch.words(
            f"{arrow} on to {show(furthest, setting.unit)}, {on.year}",
            x=left[0][0].isoformat(),
            y=level,
            xanchor="right",
            yanchor=anchor,
            font={"color": BARK, "size": 11},
        )


def _draw_limits(sketch: Sketch, limits: Sequence[LimitLine], setting: Setting) -> None:
    for limit in limits:
        sketch.shape(
            type="line",
            x0=max(limit.from_on, setting.span[0]).isoformat(),
            x1=setting.span[1].isoformat(),
            y0=limit.level,
            y1=limit.level,
            line={
                "color": _LIMIT_COLOURS[limit.name],
                "width": 1.5,
                "dash": "solid" if limit.name == "act" else "6px,4px",
            },
            layer="below",
        )


def _name_ends(
    sketch: Sketch,
    labels: Sequence[tuple[str, float, str]],
    reach: tuple[float, float],
) -> None:
    """Names of lines at their right ends, pushed apart where they would touch."""
    levels = [min(max(level, reach[0]), reach[1]) for _, level, _ in labels]
    shifts = spread(levels, reach, gap_px=14.0)
    for (text, _, colour), level, shift in zip(labels, levels, shifts, strict=True):
        sketch.words(
            text,
            x=1,
            xref="paper",
            y=level,
            xanchor="left",
            xshift=5,
            yshift=shift,
            font={"color": colour, "size": 11.5},
        )


def _until(fan: Fan, last: date) -> Fan:
    """The forecast as far as the axis goes, its end interpolated."""
    kept = [row for row in fan if row[0] <= last]
    rest = fan[len(kept) :]
    if not kept or not rest:
        return kept
    (on, *start), (next_on, *end) = kept[-1], rest[0]
    share = (last - on) / (next_on - on)
    low, mid, high = (a + share * (b - a) for a, b in zip(start, end, strict=True))
    return [*kept, (last, low, mid, high)]


def _draw_readings(
    sketch: Sketch, points: pd.DataFrame, unit: str, *, hollow: bool
) -> None:
    if points.empty:
        return
    newest = points["stretch"].max()
    past = points["stretch"] < newest
    for chosen, colour in ((points[past], MUTED), (points[~past], INK)):
        if chosen.empty:
            continue
        sketch.scatter(
            x=list(chosen["on"]),
            y=list(chosen["value"]),
            mode="markers",
            marker={
                "size": 7,
                "color": PAPER if hollow else colour,
                "line": {"color": colour, "width": 1.6},
            },
            error_y={
                "type": "data",
                "array": list(2 * chosen["sd"]),
                "color": colour,
                "thickness": 1,
                "width": 0,
            },
            text=[_hover(row, unit, hollow) for row in chosen.itertuples()],
            hovertemplate="%{text}<extra></extra>",
            name="doubted" if hollow else "reading",
        )


def _hover(row: object, unit: str, hollow: bool) -> str:
    on, value, sd = (getattr(row, name) for name in ("on", "value", "sd"))
    given, inspector = getattr(row, "given", ""), getattr(row, "inspector", "")
    lines = [f"{day(on)}: {show(value, unit)} ± {show(2 * sd, unit)}"]
    if given:
        lines.append(f"as typed: {given}")
    if inspector:
        lines.append(inspector)
    if hollow:
        lines.append("doubted: does not fit its neighbours")
    return "<br>".join(lines)


def _draw_misses(sketch: Sketch, misses: pd.DataFrame, low: float) -> None:
    if misses.empty:
        return
    texts = [
        f"{day(row['on'])}: {row['answer']}"
        + (f", {row['reason']}" if row["reason"] else "")
        for row in misses.to_dict("records")
    ]
    sketch.scatter(
        x=list(misses["on"]),
        y=[low] * len(misses),
        mode="markers",
        marker={"symbol": "x-thin", "size": 9, "line": {"color": BARK, "width": 2}},
        text=texts,
        hovertemplate="%{text}<extra></extra>",
        cliponaxis=False,
        name="no number",
    )
    sketch.words(
        str(misses["answer"].iloc[-1]),
        x=misses["on"].iloc[-1].isoformat(),
        y=low,
        xanchor="left",
        yanchor="bottom",
        xshift=6,
        yshift=1,
        font={"color": BARK, "size": 11},
    )


def _draw_days(sketch: Sketch, setting: Setting) -> None:
    """Thin upright lines: today, and where the series starts anew."""
    lines = [(setting.today, "solid"), *((on, "dot") for on, _ in setting.breaks)]
    for on, dash in lines:
        sketch.shape(
            type="line", x0=on.isoformat(), x1=on.isoformat(), y0=0, y1=1,
            yref="paper", line={"color": MUTED, "width": 1, "dash": dash},
            layer="below",
        )  # fmt: skip
    for on, label in [(setting.today, "today"), *_named_together(setting)]:
        sketch.words(
            label,
            x=on.isoformat(),
            y=1,
            yref="paper",
            yanchor="bottom",
            font={"color": MUTED, "size": 11},
        )


def _named_together(setting: Setting) -> list[tuple[date, str]]:
    """Numbers of the breaks; those too close to stand apart share a place."""
    close = (setting.span[1] - setting.span[0]) / 30
    named: list[tuple[date, str]] = []
    for on, number in sorted(setting.breaks):
        if named and on - named[-1][0] < close:
            first_on, numbers = named[-1]
            named[-1] = (first_on, f"{numbers}, {number}")
        else:
            named.append((on, number))
    return named
