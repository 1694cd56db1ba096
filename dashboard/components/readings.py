"""One series in words, drawing and table."""

from datetime import date

from dash import html
from dash.development.base_component import Component

from dashboard.components.drawings import (
    axis_drawings,
    plan_drawing,
    series_drawing,
    wound_drawing,
)
from dashboard.components.tables import quiet_table
from dashboard.components.text import between, day, reached, sentence
from monitor.domain.conclusions import Outlook
from monitor.services.showing.cross_check import METHOD_NOTE, cross_check_words
from monitor.services.showing.series import SeriesView
from monitor.services.showing.support import SupportReadings
from monitor.units import show


def series_part(view: SupportReadings, series: SeriesView, *, first: bool) -> Component:
    """Heading, what it says, the drawing, the readings as typed."""
    return html.Section(
        [
            html.H3([sentence(series.label), html.Small(series.place)]),
            *outlook_words(series, view.place.today),
            html.Div(
                [
                    series_drawing(view, series, fan_words=first),
                    *axis_drawings(view, series),
                ]
            ),
            _as_typed(series),
        ],
        className="series",
    )


def outlook_words(series: SeriesView, today: date) -> list[Component]:
    """What the readings say: the stored sentence, then the limits in words."""
    outlook = series.outlook
    if outlook is None:
        why = "No forecast: it was removed, or has not been assessed yet."
        return [html.P(why, className="quiet")]
    words: list[Component] = [html.P(outlook.sentence or outlook.refusal)]
    limits = _limit_words(outlook, series.unit, today)
    if limits:
        words.append(html.Ul(limits, className="limits"))
    return words + _how_known(outlook)


def _how_known(outlook: Outlook) -> list[Component]:
    """The plain methods beside it, on request."""
    said = cross_check_words(outlook)
    if not said:
        return []
    lines = [html.P(said), html.P(METHOD_NOTE)]
    return [html.Details([html.Summary("How do you know?"), *lines], className="quiet")]


def _limit_words(outlook: Outlook, unit: str, today: date) -> list[html.Li]:
    if outlook.level is None:
        return []
    said = []
    for name, level, dates in (
        ("Act", outlook.act_level, outlook.act_on),
        ("Watch", outlook.watch_level, outlook.watch_on),
    ):
        if level is not None:
            said.append(
                html.Li(
                    [
                        html.Strong(f"{name}, {_level(outlook, name, level, unit)}: "),
                        f"{reached(dates, today)}.",
                    ]
                )
            )
    if outlook.expected_low is not None and outlook.expected_high is not None:
        said.append(
            html.Li(
                [
                    html.Strong("Next reading: "),
                    "expected "
                    + between(outlook.expected_low, outlook.expected_high, unit)
                    + (
                        f" on {day(outlook.expected_on)}."
                        if outlook.expected_on
                        else "."
                    ),
                ]
            )
        )
    source = outlook.details.get("limit_source")
    if source:
        said.append(html.Li(f"Limits: {source}.", className="quiet"))
    return said


def _level(outlook: Outlook, name: str, level: float, unit: str) -> str:
    """A limit, both ends where either way is harmful."""
    low = outlook.details.get(f"{name.casefold()}_low")
    if not isinstance(low, (int, float)):
        return show(level, unit)
    return f"below {show(low, unit)} or above {show(level, unit)}"


def plans_and_wounds(view: SupportReadings) -> list[Component]:
    """Every drawing to scale: post heads in plan, wounds as rings."""
    members = {part.member.id: part for part in view.members}
    drawn: list[Component] = []
    for series in view.series:
        plan = plan_drawing(series, members[series.member.id])
        if plan is not None:
            drawn.append(_to_scale("The head of the post in plan", series.place, plan))
    for width, height in _wounds(view):
        rings = wound_drawing(width, height, members[width.member.id])
        drawn.append(_to_scale("The wound", width.place, rings))
    return drawn


def _wounds(view: SupportReadings) -> list[tuple[SeriesView, SeriesView]]:
    heights = {s.mark.id: s for s in view.series if s.series == "wound_height"}
    return [
        (s, heights[s.mark.id])
        for s in view.series
        if s.series == "wound_width" and s.mark.id in heights
    ]


def _to_scale(name: str, place: str, drawn: Component) -> Component:
    return html.Section(
        [html.H3([name, html.Small(place)]), drawn], className="series to-scale"
    )


def _as_typed(series: SeriesView) -> Component:
    points, misses = (
        frame.iloc[::-1].to_dict("records") for frame in (series.points, series.misses)
    )
    rows = [
        [
            day(row["on"]),
            show(row["value"], series.unit),
            row["given"],
            f"±\u2009{show(2 * row['sd'], series.unit)}",
            row["inspector"],
            "doubted" if row["doubted"] else "",
        ]
        for row in points
    ]
    rows += [
        [day(row["on"]), row["answer"], row["reason"], "", "", ""] for row in misses
    ]
    return html.Details(
        [
            html.Summary(f"{len(series.points)} readings as typed"),
            quiet_table(
                ["Day", "Value", "As typed", "Noise, 2 sd", "Inspector", "Remark"],
                rows,
                caption=f"{series.label} at {series.place}",
            ),
        ]
    )
