"""Photographs of a support in time order, and measuring an opening on one of them."""

from typing import Any
from uuid import UUID

from dash import Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component
from flask import has_request_context

from dashboard.access import signed_in
from dashboard.components.alerts import from_error, shown_as_alert
from dashboard.components.entries import support_address
from dashboard.components.photo_parts import (
    drawn_over,
    measure_words,
    photo_row,
    share_words,
)
from dashboard.components.text import CAUTION, counted, day, sentence
from dashboard.components.trace_form import (
    IDS,
    command_from,
    no_overlay,
    outline_in,
    overlay,
    trace_form,
)
from dashboard.context import AppContext
from monitor.errors import InvalidInput, MonitorError, NotAllowed
from monitor.services.recording.checks import Stamp
from monitor.services.recording.desk_measures import ask_measure, keep_on_desk
from monitor.services.showing import photos as show_photos
from monitor.services.showing.photos import PhotoView
from monitor.services.showing.support import find_support
from monitor.store import Session
from monitor.store.photos import PhotoFiles

NAME, PATH = "photos", "/supports/<code>/photos"
QUERY = ("photo",)
_FIELDS = ("wound", "offset", "ruler", "reason")


def title(code: str = "") -> str:
    """Title of the page."""
    return f"Photographs of {code}" if code else "Photographs"


@shown_as_alert
def layout(context: AppContext, code: str = "", photo: str = "") -> Component:
    """All photographs in a row; below, the chosen one to measure on."""
    if not code:
        return html.Article(_empty())
    files = PhotoFiles(context.settings.photo_folder)
    with context.store.read_session() as session:
        support = find_support(session, code)
        views = show_photos.photos_of(session, support)
        chosen = _chosen(views, photo)
        inside = _chosen_part(session, files, chosen) if chosen else _empty()
    return html.Article(
        [
            html.P(dcc.Link(support.code, href=support_address(support.code))),
            html.H1(headline(support.code, views)),
            html.P(
                [
                    html.A("Add a photograph", href=f"/pictures/add/{support.code}"),
                    ". ",
                    html.A("Print a marker sheet", href="/field/markers"),
                    ".",
                ]
            ),
            photo_row(views),
            *inside,
            html.P(CAUTION, className="caution"),
        ]
    )


def register(app: Dash, context: AppContext) -> None:
    """Measuring, keeping, and fading the older photograph."""
    filled = {name: State(getattr(IDS, name), "value") for name in _FIELDS}

    @app.callback(
        Output(IDS.answer, "children"),
        inputs={"_": (Input(IDS.ask, "n_clicks"), Input(IDS.keep, "n_clicks"))},
        state={
            "photo": State(IDS.photo, "data"),
            "drawn": State(IDS.drawing, "relayoutData"),
            "filled": filled,
        },
        prevent_initial_call=True,
    )
    def answer(
        _: object, photo: str, drawn: dict[str, Any] | None, filled: dict[str, Any]
    ) -> object:
        if not photo:
            return no_update
        asked = photo, drawn, filled
        does = _kept if ctx.triggered_id == IDS.keep else _said
        return does(context, asked)

    app.clientside_callback(
        "function (share) { return {opacity: Number(share) / 100}; }",
        Output(IDS.over, "style"),
        Input(IDS.fade, "value"),
    )


def headline(code: str, views: tuple[PhotoView, ...]) -> str:
    """How many there are, from when to when."""
    if not views:
        return f"No photograph of {code} is kept yet."
    many = sentence(counted(len(views), "photograph"))
    if len(views) == 1:
        return f"{many} of {code}, of {day(views[0].on)}."
    return f"{many} of {code}, {views[0].on.year} to {views[-1].on.year}."


def _chosen(views: tuple[PhotoView, ...], photo: str) -> PhotoView | None:
    """The one asked for; else the newest that was measured, else the newest."""
    asked = [view for view in views if str(view.photo.id) == photo]
    measured = [view for view in views if view.measures]
    return next(iter((*asked, *measured[::-1], *views[::-1])), None)


def _chosen_part(
    session: Session, files: PhotoFiles, view: PhotoView
) -> list[Component]:
    support, _ = show_photos.photo_view(session, view.photo.id)
    try:
        facts, doubt = show_photos.facts_and_doubt(files, view)
    except MonitorError as error:
        return [
            html.H2(f"The photograph of {day(view.on)}"),
            from_error(error),
            *_empty(),
        ]
    wounds = show_photos.wounds_of(session, support)
    parts: list[Component] = [
        dcc.Store(id=IDS.photo, data=str(view.photo.id)),
        html.H2(f"The photograph of {day(view.on)}"),
        html.P(_about(view, facts.width, facts.height)),
    ]
    if doubt:
        parts.append(html.P(doubt, className="refusal"))
    if view.sketch:
        address = f"/pictures/{view.photo.id}/large"
        parts.append(drawn_over(address, "With its sketch", view.sketch.strokes))
    parts += _measured(session, view)
    parts.append(html.H3("Measure the opening"))
    parts += trace_form(view, facts.height / facts.width, wounds)
    return [html.Section(parts, className="part")]


def _measured(session: Session, view: PhotoView) -> list[Component]:
    if not view.measures:
        return no_overlay()
    newest = view.measures[-1]
    before = [
        pair
        for pair in show_photos.measured_before(session, newest.mark_id)
        if pair[1] <= view.on and pair[0].photo_id != view.photo.id
    ]
    said = html.P(sentence(measure_words(newest)) + ".", className="lead")
    doubt = html.P(share_words(newest), className="quiet")
    return [said, doubt, *overlay(newest, before)]


def _about(view: PhotoView, width: int, height: int) -> list[str | Component]:
    size = f"{width} × {height} pixels, {view.photo.size_bytes / 1e6:.1f} MB. "
    about: list[str | Component] = [f"{view.photo.caption or 'No caption'}. {size}"]
    if has_request_context() and signed_in().may_record:
        address = f"/pictures/{view.photo.id}/original"
        about.append(html.A("The original, as it came", href=address))
    return about


def _empty() -> list[Component]:
    """The shape without a photograph."""
    return [
        dcc.Store(id=IDS.photo),
        html.Div(
            [
                dcc.Graph(id=IDS.drawing),
                *(dcc.Input(id=getattr(IDS, name)) for name in _FIELDS),
                html.Button(id=IDS.ask),
                html.Button(id=IDS.keep),
                html.Div(id=IDS.answer),
                *no_overlay(),
            ],
            hidden=True,
        ),
    ]


Asked = tuple[str, dict[str, Any] | None, dict[str, Any]]


@shown_as_alert
def _said(context: AppContext, asked: Asked) -> Component:
    photo, drawn, filled = asked
    files = PhotoFiles(context.settings.photo_folder)
    with context.store.read_session() as session:
        _, view = show_photos.photo_view(session, _key(photo))
    found = ask_measure(files, command_from(view, filled, outline_in(drawn)))
    return html.P(found + " Nothing is kept yet.")


@shown_as_alert
def _kept(context: AppContext, asked: Asked) -> Component:
    if not signed_in().may_record:
        raise NotAllowed("This account reads the record and does not add to it.")
    photo, drawn, filled = asked
    stamp = Stamp(signed_in().account.name, context.clock.now())
    files = PhotoFiles(context.settings.photo_folder)
    with context.store.read_session() as session:
        support, view = show_photos.photo_view(session, _key(photo))
    command = command_from(view, filled, outline_in(drawn))
    said = keep_on_desk(context.store, files, (view.photo.id, command), stamp)
    address = f"/supports/{support.code}/photos?photo={photo}"
    return html.P([f"{said} ", html.A("Show it", href=address)])


def _key(photo: str) -> UUID:
    try:
        return UUID(photo)
    except ValueError:
        raise InvalidInput("Choose a photograph first.", field="photo") from None
