"""Photographs on pages: side by side in time order, with what was drawn on them."""

from collections.abc import Sequence

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.text import day
from monitor.domain.pictures import PhotoMeasure, Point
from monitor.services.showing.photos import PhotoView
from monitor.units.display import THIN_SPACE


def photo_row(views: Sequence[PhotoView]) -> Component:
    """Every photograph with its day, oldest first."""
    return html.Div([_figure(view) for view in views], className="photo-row")


def measure_words(measure: PhotoMeasure) -> str:
    """Area, width and height with their doubt."""
    return (
        f"{measure.area_mm2 / 100:.1f} ± {1.96 * measure.area_sd_mm2 / 100:.1f}"
        f"{THIN_SPACE}cm² open, {measure.width_mm:.0f} ± "
        f"{1.96 * measure.width_sd_mm:.0f}{THIN_SPACE}mm wide, "
        f"{measure.height_mm:.0f} ± {1.96 * measure.height_sd_mm:.0f}{THIN_SPACE}mm "
        "high (95 % ranges)"
    )


def share_words(measure: PhotoMeasure) -> str:
    """Where the doubt of the area comes from, the greatest first."""
    ranked = sorted(measure.shares.items(), key=lambda share: -share[1])
    said = ", ".join(
        f"{name} {100 * part:.0f} %" for name, part in ranked if part > 0.005
    )
    return f"Of the doubt about the area: {said}."


def drawn_over(
    address: str, words: str, lines: Sequence[Sequence[Point]], *, closed: bool = False
) -> Component:
    """An image with strokes over it."""
    parts: list[Component] = [html.Img(src=address, alt=words)]
    if any(lines):
        parts.append(html.Img(src=_as_svg(lines, closed), alt="", className="strokes"))
    return html.Div(parts, className="drawn-over")


def _figure(view: PhotoView) -> Component:
    photo = view.photo
    address = f"/pictures/{photo.id}/small"
    said = ". ".join(
        part for part in (photo.caption, view.member and f"on {view.member}") if part
    )
    words = f"{day(view.on)}. {said}" if said else day(view.on)
    lines = view.sketch.strokes if view.sketch else ()
    caption: list[str | Component] = [
        html.Strong(day(view.on)),
        html.Br(),
        said or "no caption",
    ]
    for measure in view.measures:
        caption += [html.Br(), measure_words(measure)]
    caption += [html.Br(), dcc.Link("Open it", href=f"?photo={photo.id}", title=words)]
    return html.Figure(
        [drawn_over(address, words, lines), html.Figcaption(caption)],
    )


def _places(line: Sequence[Point]) -> str:
    return " ".join(f"{1000 * x:.1f},{1000 * y:.1f}" for x, y in line)


def _as_svg(lines: Sequence[Sequence[Point]], closed: bool) -> str:
    """Strokes as a drawing of their own; the page's policy allows it as data."""
    name = "polygon" if closed else "polyline"
    drawn = "".join(
        f"%3C{name} points='{_places(line)}'"
        f" fill='none' stroke='%23{colour}' stroke-width='{width}' "
        "vector-effect='non-scaling-stroke' stroke-linejoin='round'/%3E"
        for line in lines
        if line
        for colour, width in (("ffffff", 5), ("7a2410", 2))
    )
    return (
        "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' "
        f"viewBox='0 0 1000 1000' preserveAspectRatio='none'%3E{drawn}%3C/svg%3E"
    )
