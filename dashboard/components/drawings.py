"""From what the record says to drawings with their words beside them."""

from collections.abc import Sequence
from datetime import date, timedelta

import pandas as pd
import plotly.graph_objects as go
from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.attributes import aria
from dashboard.figures.plan_path import PlanSetting, plan_path
from dashboard.figures.series_chart import LimitLine, Setting, series_chart
from dashboard.figures.sketch import Sketch
from dashboard.figures.time_rail import RailFlag, time_rail
from dashboard.figures.wound_rings import wound_rings
from monitor.services.showing.flags import Flag
from monitor.services.showing.series import SeriesView, stored_fan
from monitor.services.showing.support import MemberView, SupportReadings
from monitor.units import unit_sign

_YEAR = timedelta(days=365)
AHEAD_AT_LEAST, AHEAD_AT_MOST = 3 * _YEAR, 25 * _YEAR


def drawing(
    drawn: go.Figure | Sketch, words: str, *, narrow: bool = False
) -> Component:
    """A figure that also says in words what it shows."""
    graph = dcc.Graph(
        figure=drawn.plain() if isinstance(drawn, Sketch) else drawn,
        config={"displayModeBar": False, "responsive": True, "doubleClick": False},
        style={"height": f"{drawn.layout['height']}px"},
    )
    return html.Figure(
        [html.Div(graph, role="img", **aria(label=words))],
        className="drawing drawing--narrow" if narrow else "drawing",
    )


def span_of(view: SupportReadings) -> tuple[date, date]:
    """The time axis of every drawing of a support."""
    today = view.place.today
    start = min(
        [view.support.installed_on]
        + [on for series in view.series for on in list(series.points["on"])[:1]]
    )
    if view.support.removed_on is not None:
        end = view.support.removed_on + _YEAR
    else:
        ahead = min(max((today - start) / 2, AHEAD_AT_LEAST), AHEAD_AT_MOST)
        end = today + ahead
    return start - (end - start) / 40, end


def series_drawing(
    view: SupportReadings, series: SeriesView, *, fan_words: bool
) -> Component:
    """Readings, forecast and limits of one series."""
    setting = Setting(
        unit=unit_sign(series.unit),
        span=span_of(view),
        today=view.place.today,
        fan_words=fan_words,
        breaks=_breaks(series, view.flags),
    )
    figure = series_chart(
        series.points, series.misses, stored_fan(series.outlook, "fan"),
        limit_lines(series), setting,
    )  # fmt: skip
    n = len(series.points)
    return drawing(
        figure,
        f"{series.label} at {series.place}: {n} readings with their noise, the "
        "forecast and the limits over time; the readings are listed beneath.",
    )


def axis_drawings(view: SupportReadings, series: SeriesView) -> list[Component]:
    """Both tilt axes apart, on one scale."""
    if series.series != "tilt" or series.points.empty:
        return []
    parts: list[Component] = []
    for axis, words in (("x", "away from the stem"), ("y", "to the side")):
        points = series.points.assign(value=series.points[axis])
        setting = Setting(
            unit=unit_sign(series.unit),
            span=span_of(view),
            today=view.place.today,
            breaks=_breaks(series, view.flags),
            reach=_common_reach(series),
        )
        fan = stored_fan(series.outlook, f"fan_{axis}")
        figure = series_chart(points, series.misses, fan, (), setting)
        parts += [
            html.P(f"Tilt {words}", className="axis-name"),
            drawing(figure, f"tilt {words} over time"),
        ]
    return parts


def limit_lines(series: SeriesView) -> list[LimitLine]:
    """Watch and act levels of the present segment, both sides where both harm."""
    outlook = series.outlook
    if outlook is None or series.points.empty:
        return []
    stored = outlook.details.get("segment_from")
    from_on = (
        date.fromisoformat(stored)
        if isinstance(stored, str)
        else series.points["on"].iloc[0]
    )
    levels: list[tuple[str, object]] = [
        ("watch", outlook.watch_level),
        ("act", outlook.act_level),
        ("watch", outlook.details.get("watch_low")),
        ("act", outlook.details.get("act_low")),
    ]
    return [
        LimitLine(name, float(level), from_on)
        for name, level in levels
        if isinstance(level, (int, float))
    ]


def plan_drawing(series: SeriesView, member: MemberView) -> Component | None:
    """The way of the post head in plan."""
    outlook = series.outlook
    if series.series != "tilt" or series.points.empty:
        return None
    current = series.points[series.points["stretch"] == series.points["stretch"].max()]
    first = current.iloc[0]
    length_mm = member.numbers.get("length_mm")
    setting = PlanSetting(
        bearing_deg=member.member.bearing_deg,
        length_m=length_mm / 1000 if length_mm else None,
        baseline=(float(first["x"]), float(first["y"])),
        watch=outlook.watch_level if outlook else None,
        act=outlook.act_level if outlook else None,
        position=_position(outlook.details.get("position") if outlook else None),
    )
    return drawing(
        plan_path(series.points, setting),
        f"Where the head of {series.member.code} stood at each look, seen from above, "
        "with the limits as circles about its first place.",
        narrow=True,
    )


def wound_drawing(
    width: SeriesView, height: SeriesView, member: MemberView
) -> Component:
    """The opening to scale, one ring a look."""
    return drawing(
        wound_rings(
            rings_of(width, height), hardware_mm=member.numbers.get("diameter_mm")
        ),
        f"The open wound at {width.place} at each look, to scale.",
        narrow=True,
    )


def rings_of(width: SeriesView, height: SeriesView) -> pd.DataFrame:
    """Days on which both were read: columns on, width, height [mm]."""
    newest = width.points["stretch"].max() if not width.points.empty else 0
    sides = [
        part.points[part.points["stretch"] == newest].groupby("on")["value"].mean()
        for part in (width, height)
    ]
    rings = pd.concat(sides, axis=1, join="inner", keys=["width", "height"])
    return rings.sort_index().rename_axis("on").reset_index()


def rail_drawing(view: SupportReadings) -> Component:
    """Looks, works and events on the shared axis."""
    looks = sorted({visit.inspected_on for visit in view.visits})
    flags = [RailFlag(f.number, f.on, f.what, f.label) for f in view.flags]
    return drawing(
        time_rail(looks, flags, span_of(view)),
        f"{len(looks)} looks and {len(flags)} works and events along the same years.",
    )


def _breaks(series: SeriesView, flags: Sequence[Flag]) -> tuple[tuple[date, str], ...]:
    numbers = {flag.on: str(flag.number) for flag in flags if flag.what == "work"}
    return tuple((on, numbers.get(on, "anew")) for on in series.starts_on)


def _common_reach(series: SeriesView) -> tuple[float, float]:
    """One scale for both axes: readings with their bars, and the first years ahead."""
    points = series.points
    margin = 2.2 * float(points["sd"].max())
    ahead = [
        level
        for axis in ("fan_x", "fan_y")
        for row in stored_fan(series.outlook, axis)[:8]
        for level in row[1:]
    ]
    values = [*points["x"], *points["y"]]
    low, high = min(values) - margin, max(values) + margin
    return min([low, *ahead]), max([high, *ahead])


def _position(stored: object) -> tuple[float, float, float, float, float] | None:
    if not isinstance(stored, list) or len(stored) != 5:
        return None
    x, y, sd_x, sd_y, corr = (float(part) for part in stored)
    return x, y, sd_x, sd_y, corr
