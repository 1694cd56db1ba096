"""Tracing an opening on a photograph: the drawing, how the sheet lay, what it says."""

import re
from collections.abc import Mapping, Sequence
from datetime import date
from types import SimpleNamespace
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.form import field, text_input
from dashboard.components.photo_parts import measure_words
from dashboard.components.text import day
from dashboard.figures.traced_photo import Backdrop, traced_photo
from monitor.domain.pictures import PhotoMeasure, Point
from monitor.errors import InvalidInput
from monitor.services.recording.photo_measures import OutlineCommand
from monitor.services.showing.photos import PhotoView, Wound, half_of

IDS = SimpleNamespace(
    photo="photos-photo",
    drawing="photos-drawing",
    wound="photos-wound",
    offset="photos-offset",
    ruler="photos-ruler",
    reason="photos-reason",
    ask="photos-ask",
    keep="photos-keep",
    answer="photos-answer",
    over="photos-over",
    fade="photos-fade",
)

MOUSE_PX = 1.5
"""Of a point drawn with a mouse on the page, one standard deviation (no source)."""

SHOWN_PX = 640
_NUMBER = r"[-+]?[\d.]+(?:e[-+]?\d+)?"
_POINT = re.compile(rf"[ML]({_NUMBER}),({_NUMBER})")


def trace_form(
    view: PhotoView, aspect: float, wounds: Sequence[Wound]
) -> list[Component]:
    """The photograph to draw on, and the fields beside it."""
    address = f"/pictures/{view.photo.id}/large"
    outlines = [measure.outline for measure in view.measures]
    options = [
        {
            "label": f"{wound.member.code}, {wound.mark.code}",
            "value": f"{wound.member.code}/{wound.mark.code}",
        }
        for wound in wounds
    ]
    return [
        html.P(
            "Draw around the opening once, along the edge of the bark; the last line "
            "counts. All four markers of the sheet have to be in the picture."
        ),
        dcc.Graph(
            id=IDS.drawing,
            figure=traced_photo(Backdrop(address, aspect), outlines),
            config={
                "displaylogo": False,
                "modeBarButtonsToAdd": ["drawclosedpath", "eraseshape"],
                "modeBarButtonsToRemove": ["toImage", "select2d", "lasso2d"],
            },
        ),
        field(
            "Which wound",
            dcc.Dropdown(
                id=IDS.wound,
                options=options,
                value=options[0]["value"] if options else None,
                clearable=False,
            ),
            key=IDS.wound,
        ),
        field(
            "How far the sheet lies off the wood, mm",
            text_input(IDS.offset),
            key=IDS.offset,
            hint="The largest error there is: 20 mm at 400 mm are 10 % of the area. "
            "Empty means 5 ± 5 mm.",
        ),
        field(
            "Its check line measures, mm",
            text_input(IDS.ruler),
            key=IDS.ruler,
            hint="Empty means that the print is true.",
        ),
        field(
            "Why it is traced again",
            text_input(IDS.reason),
            key=IDS.reason,
            hint="Only if this photograph was measured before; both stay readable.",
        ),
        html.P(
            [
                html.Button("Measure", id=IDS.ask),
                html.Button("Keep it", id=IDS.keep, className="plain"),
            ]
        ),
        html.Div(id=IDS.answer, role="status"),
    ]


def outline_in(relayout: Mapping[str, Any] | None) -> tuple[Point, ...]:
    """The last line drawn, or as it was moved since.

    Raises
    ------
    InvalidInput : nothing was drawn
    """
    path = ""
    for name, value in (relayout or {}).items():
        if name == "shapes" and value:
            path = str(value[-1].get("path", ""))
        elif re.fullmatch(r"shapes\[\d+\]\.path", name):
            path = str(value)
    points = tuple((float(x), float(y)) for x, y in _POINT.findall(path))
    if not points:
        raise InvalidInput("Draw the outline on the photograph first.", field="outline")
    return points


def command_from(
    view: PhotoView, filled: Mapping[str, Any], points: tuple[Point, ...]
) -> OutlineCommand:
    """What the page asks to measure.

    Raises
    ------
    InvalidInput : no wound is chosen, or a number can not be read
    """
    member, _, mark = str(filled.get("wound") or "").partition("/")
    if not mark:
        raise InvalidInput(
            "This support has no mark of a wound; record a width there first.",
            field="wound",
        )
    return OutlineCommand(
        sha256=view.photo.sha256,
        points=points,
        member=member,
        mark=mark,
        hand=MOUSE_PX / SHOWN_PX,
        offset_mm=_number(filled.get("offset"), "How far the sheet lies off"),
        ruler_mm=_number(filled.get("ruler"), "What the check line measures"),
        reason=str(filled.get("reason") or "").strip(),
    )


def overlay(
    new: PhotoMeasure, old: Sequence[tuple[PhotoMeasure, date]]
) -> list[Component]:
    """An older photograph over the newer one, both laid flat to one scale."""
    earlier = [pair for pair in old if pair[0].id != new.id]
    if not earlier:
        return no_overlay()
    before, on = earlier[-1]
    across, down = half_of([new, before])
    size = f"half={across:.0f}x{down:.0f}&by=opening"
    return [
        html.P(
            f"Over it the photograph of {day(on)}, both laid flat, to one scale, "
            f"middle on middle. Then: {measure_words(before)}."
        ),
        html.Div(
            [
                html.Img(src=f"/pictures/flat/{new.id}?{size}", alt="The opening now"),
                html.Img(
                    src=f"/pictures/flat/{before.id}?{size}",
                    alt=f"The opening on {day(on)}",
                    id=IDS.over,
                    className="strokes",
                    style={"opacity": 0.5},
                ),
            ],
            className="drawn-over flat",
        ),
        field("How much of the older one shows", _fade(), key=IDS.fade),
    ]


def no_overlay() -> list[Component]:
    """Nothing to lay over one another yet."""
    return [
        html.Img(id=IDS.over, hidden=True, alt=""),
        html.Div(_fade(), hidden=True),
    ]


def _fade() -> dcc.Input:
    return dcc.Input(id=IDS.fade, type="range", min=0, max=100, value=50, step=1)


def _number(text: object, name: str) -> float | None:
    typed = str(text or "").strip().replace(",", ".").removesuffix("mm").strip()
    if not typed:
        return None
    try:
        return float(typed)
    except ValueError:
        raise InvalidInput(f"{name}: found “{typed[:20]}”, expected mm.") from None
