"""Imports: a list is dropped, looked at, mended, tried, and taken in."""

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from dash import Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component
from flask import has_request_context

from dashboard.access import signed_in
from dashboard.components import import_parts as parts
from dashboard.components.alerts import from_error, shown_as_alert
from dashboard.components.import_parts import IDS
from dashboard.components.text import counted, sentence
from dashboard.context import AppContext
from dashboard.import_routes import bench_of, require_right
from monitor.domain.rights import Right
from monitor.errors import MonitorError
from monitor.services.importing import desk as desks
from monitor.services.importing.desk import Desk, Said, Stage
from monitor.services.importing.work import Look, look_at, start
from monitor.store import records

NAME, PATH = "imports", "/imports"
QUERY = ("file",)
NEEDS = Right.KEEP_REGISTER
TICK_MS = 1000
__all__ = ["IDS", "NAME", "NEEDS", "PATH", "QUERY", "layout", "register", "title"]


def title() -> str:
    """Title of the page."""
    return "Imports"


@shown_as_alert
def layout(context: AppContext, file: str = "") -> Component:
    """The desk, or one file on it."""
    if file and has_request_context():
        desk = _desk(context, file)
        return _one(context, desk)
    return _all(context)


def register(app: Dash, context: AppContext) -> None:
    """What is changed, pressed, and how far the work has come."""

    @app.callback(
        Output(IDS.again, "data"),
        Output(IDS.note, "children"),
        inputs={
            "cells": Input(IDS.grid, "cellValueChanged"),
            "headings": Input(IDS.headings, "cellValueChanged"),
            "kind": Input(IDS.kind, "value"),
            "dates": Input(IDS.dates, "value"),
            "skip": Input(IDS.skip, "value"),
            "pressed": (Input(IDS.try_it, "n_clicks"), Input(IDS.take, "n_clicks"),
                        Input(IDS.away, "n_clicks")),
        },
        state={"key": State(IDS.key, "data")},
        prevent_initial_call=True,
    )  # fmt: skip
    def act(key: str | None, **given: Any) -> tuple[object, object]:  # noqa: ANN401 - Dash's
        if not key:
            return no_update, no_update
        try:
            return context.clock.now().isoformat(), _acted(context, key, given)
        except MonitorError as error:
            return no_update, from_error(error)

    @app.callback(
        Output(IDS.status, "children"),
        Output(IDS.grid, "rowData"),
        Output(IDS.tick, "disabled"),
        Input(IDS.tick, "n_intervals"),
        Input(IDS.again, "data"),
        State(IDS.key, "data"),
        prevent_initial_call=True,
    )
    def tell(_: object, __: object, key: str | None) -> tuple[object, object, object]:
        if not key:
            return no_update, no_update, True
        return _told(context, key)


def headline(desk: Desk, context: AppContext) -> str:
    """How one file stands."""
    return f"{desk.file_name}: {parts.stage_words(desk, context.clock.now())}"


def _all(context: AppContext) -> Component:
    with context.store.read_session() as session:
        files = records.IMPORTS.all(session)
    files.sort(key=lambda one: one.recorded_at, reverse=True)
    mine: tuple[Desk, ...] = ()
    if has_request_context():
        owner = signed_in().account.id
        mine = desks.waiting(context.settings.data_folder, owner)
    now = context.clock.now()
    open_now = [desk for desk in mine if desk.stage is not Stage.TAKEN]
    said = sentence(counted(len(open_now), "file waits", "files wait"))
    return html.Article(
        [
            html.H1(f"{said} at your desk." if open_now else "No file waits."),
            parts.drop_form(context.settings.upload_mb),
            *parts.waiting_list(mine, now),
            *parts.taken_list(files),
            html.Div(_working_parts(None, None), hidden=True),
        ]
    )


def _one(context: AppContext, desk: Desk) -> Component:
    look, trouble = _look(context, desk)
    rows = len(look.rows) if look else 0
    shown = min(rows, parts.MOST_ROWS)
    many = f"{counted(rows, 'row')}" + (
        f"; {shown} are shown, those that want mending first" if shown < rows else ""
    )
    return html.Article(
        [
            html.P(dcc.Link("All files", href=PATH)),
            html.H1(desk.file_name),
            *([from_error(trouble)] if trouble else []),
            html.P(f"{sentence(many)}.", id=IDS.shown, className="quiet"),
            *_working_parts(desk, look, context),
        ],
        className="wide imports",
    )


def _working_parts(
    desk: Desk | None, look: Look | None, context: AppContext | None = None
) -> list[Component]:
    said = desk.said if desk else Said()
    is_running = False
    told: Component | None = None
    if desk is not None and context is not None:
        now = context.clock.now()
        is_running, told = desk.is_running(now), parts.status(desk, now)
    blank = desk or _blank()
    return [
        dcc.Store(id=IDS.key, data=str(desk.id) if desk else ""),
        dcc.Store(id=IDS.again),
        dcc.Interval(id=IDS.tick, interval=TICK_MS, disabled=not is_running),
        html.Div(told, id=IDS.status, role="status"),
        parts.said_fields(said, look.kind.value if look else ""),
        parts.buttons(),
        html.Div(id=IDS.note, role="status"),
        html.H2("The rows"),
        html.P("A cell that is marked says on pointing at it what was expected; the "
               "same is listed above. Type over it to mend it.", className="quiet"),
        parts.sheet_grid(look, blank),
        html.H2("What is made of the headings"),
        parts.headings_grid(look),
    ]  # fmt: skip


def _blank() -> Desk:
    epoch = datetime(1970, 1, 1, tzinfo=UTC)
    return Desk(UUID(int=0), UUID(int=0), "", epoch, epoch)


def _look(context: AppContext, desk: Desk) -> tuple[Look | None, MonitorError | None]:
    try:
        return look_at(bench_of(context), desk), None
    except MonitorError as error:
        return None, error


def _desk(context: AppContext, key: str) -> Desk:
    require_right()
    return desks.find(context.settings.data_folder, key, signed_in().account.id)


def _acted(context: AppContext, key: str, given: dict[str, Any]) -> Component | str:
    desk, now = _desk(context, key), context.clock.now()
    folder = context.settings.data_folder
    match ctx.triggered_id:
        case IDS.away:
            desks.put_away(folder, desk, now)
            return html.P(["It is put away. ", dcc.Link("All files", href=PATH)])
        case IDS.try_it:
            start(bench_of(context), desk, Stage.TRYING)
        case IDS.take:
            start(bench_of(context), desk, Stage.TAKING)
        case _:
            said = _said(context, desk, given)
            if said != desk.said:
                desks.mend(folder, desk, said, now)
    return ""


def _said(context: AppContext, desk: Desk, given: dict[str, Any]) -> Said:
    """What a person says of the file now."""
    said = replace(
        desk.said,
        kind=str(given["kind"] or desk.said.kind),
        dates=str(given["dates"] or ""),
        skip_bad=bool(given["skip"]),
    )
    if ctx.triggered_id == IDS.headings:
        headings = dict(said.headings)
        for change in given["headings"] or ():
            headings[str(change["data"]["heading"])] = str(change["value"] or "")
        return replace(said, headings=headings)
    if ctx.triggered_id == IDS.grid:
        look = look_at(bench_of(context), desk)
        cells = {row: dict(mended) for row, mended in said.cells.items()}
        for change in given["cells"] or ():
            heading = look.headings[int(str(change["colId"])[1:])]
            row = cells.setdefault(str(int(change["data"]["row"])), {})
            row[heading] = str(change["value"] or "")[:2000]
        return replace(said, cells=cells)
    return said


def _told(context: AppContext, key: str) -> tuple[object, object, object]:
    now = context.clock.now()
    try:
        desk = _desk(context, key)
    except MonitorError as error:
        return from_error(error), [], True
    is_running = desk.is_running(now)
    look, _ = (None, None) if is_running else _look(context, desk)
    rows = no_update if look is None else parts.grid_rows(look, desk)
    return parts.status(desk, now), rows, not is_running
