"""The parts of the imports page: the sheet, its headings, what is wrong where."""

from collections.abc import Sequence
from datetime import datetime
from types import SimpleNamespace
from typing import Any

import dash_ag_grid as dag
from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.attributes import aria, data
from dashboard.components.form import choice_field, field
from dashboard.components.tables import quiet_table
from dashboard.components.text import counted, day, sentence
from monitor.domain.running import ImportedFile
from monitor.exchange.headings import IGNORED, known_headings
from monitor.exchange.trade_words import FileKind
from monitor.services.importing.desk import Desk, Said, Stage
from monitor.services.importing.work import Look

IDS = SimpleNamespace(
    key="imports-key", tick="imports-tick", again="imports-again",
    status="imports-status", grid="imports-grid", headings="imports-headings",
    kind="imports-kind", dates="imports-dates", skip="imports-skip",
    try_it="imports-try", take="imports-take", away="imports-away",
    note="imports-note", shown="imports-shown",
)  # fmt: skip
MOST_ROWS = 300
LISTED = 20


def drop_form(limit_mb: int) -> Component:
    """Where a file is dropped or chosen."""
    return html.Form(
        [
            html.P("Drop a list here, or choose it", id="imports-drop-name"),
            html.Div(**data(accept=".csv,.xlsx,.tsv,.txt", name="file")),
            html.P(
                f"Supports, inspections, works or corrections as CSV or XLSX, up to "
                f"{limit_mb} MB. Nothing is written before you say so.",
                className="hint",
            ),
            html.Button("Look at it", type="submit"),
        ],
        action="/imports/file",
        method="POST",
        encType="multipart/form-data",
        className="imports-drop ask",
    )


def waiting_list(desks: Sequence[Desk], now: datetime) -> list[Component]:
    """Files that were brought and not put away."""
    if not desks:
        return []
    rows = [
        (dcc.Link(desk.file_name, href=f"/imports?file={desk.id}"),
         day(desk.brought_at.date()), stage_words(desk, now))
        for desk in desks
    ]  # fmt: skip
    table = quiet_table(("File", "Brought", "Now"), rows, caption="Files at your desk")
    return [html.Section([html.H2("At your desk"), table], className="part")]


def taken_list(files: Sequence[ImportedFile]) -> list[Component]:
    """Files that are in the record."""
    if not files:
        return []
    rows = [
        (file.file_name, file.kind, day(file.recorded_at.date()), file.recorded_by,
         str(file.rows_taken), str(file.rows_known), str(file.rows_refused))
        for file in files[:LISTED]
    ]  # fmt: skip
    heads = ("File", "Holds", "Taken in", "By", "New rows", "Known", "Left out")
    table = quiet_table(heads, rows, caption="Files taken in")
    return [html.Section([html.H2("Taken in"), table], className="part")]


def stage_words(desk: Desk, now: datetime) -> str:
    """How far a file has come, in a sentence."""
    if desk.is_broken_off(now):
        return "The work was broken off; try it again. Nothing is taken in twice."
    counts = desk.counts
    rows = f"{counted(counts.get('new', 0), 'row is', 'rows are')} new"
    known, bad = counts.get("known", 0), counts.get("bad", 0)
    rest = f", {known} known already" + (f", {bad} left out" if bad else "")
    match desk.stage:
        case Stage.WAITING:
            return "Waiting to be tried."
        case Stage.TRIED:
            return f"Tried, nothing written: {rows}{rest}."
        case Stage.TAKEN:
            return f"Taken in: {rows}{rest}."
        case Stage.REFUSED:
            many = len({row for row, *_ in desk.problems})
            return (
                f"Refused, nothing written: {counted(many, 'row wants', 'rows want')} "
                "mending."
                if many
                else "Refused, nothing written."
            )
        case _:
            share = f": {desk.done:,} of {desk.whole:,}" if desk.whole else ""
            return f"{sentence(desk.stage.value)}{share} …"


def status(desk: Desk, now: datetime) -> Component:
    """Where the work stands, a bar while it runs, and what is wrong."""
    shown: list[Component] = [html.P(stage_words(desk, now), className="lead")]
    if desk.is_running(now):
        shown.append(_bar(desk))
    elif desk.message and not desk.problems:
        shown.append(html.P(desk.message, className="refusal", role="alert"))
    shown += _problems("What is wrong", desk.problems, "expected ")
    shown += _problems("Taken, but surprising", desk.doubts, "")
    return html.Div(shown)


def _bar(desk: Desk) -> Component:
    name = aria(label="How much is done")
    if not desk.whole:
        return html.Progress(className="imports-bar", **name)
    done, whole = str(desk.done), str(desk.whole)
    return html.Progress(value=done, max=whole, className="imports-bar", **name)


def sheet_grid(look: Look | None, desk: Desk) -> dag.AgGrid:
    """Rows as they stand, the bad ones first; a bad cell says why."""
    headings = look.headings if look else ()
    return dag.AgGrid(
        id=IDS.grid,
        rowData=grid_rows(look, desk) if look else [],
        columnDefs=[_row_column(), *_columns(headings)],
        defaultColDef={"resizable": True, "sortable": False, "suppressMovable": True,
                       "suppressHeaderMenuButton": True},
        dashGridOptions={"tooltipShowDelay": 200, "singleClickEdit": True,
                         "stopEditingWhenCellsLoseFocus": True,
                         "enableBrowserTooltips": True, "rowHeight": 40},
        getRowId="params.data.row",
        className="ag-theme-underprop imports-grid",
        style={"height": None},
        dangerously_allow_code=False,
    )  # fmt: skip


def grid_rows(look: Look, desk: Desk) -> list[dict[str, str]]:
    """Data of the grid: text by column, and beside it what is wrong there."""
    wrong: dict[int, dict[str, str]] = {}
    for at, heading, _, expected in desk.problems:
        wrong.setdefault(at, {})[heading] = f"expected {expected}"
    order = sorted(look.rows, key=lambda row: (row.number not in wrong, row.number))
    rows = []
    for row in order[:MOST_ROWS]:
        here = wrong.get(row.number, {})
        shown = {"row": str(row.number), "bad": "yes" if here else ""}
        for n, heading in enumerate(look.headings):
            shown[f"c{n}"] = row.cells[n] if n < len(row.cells) else ""
            shown[f"w{n}"] = here.get(heading, "")
        rows.append(shown)
    return rows


def headings_grid(look: Look | None) -> dag.AgGrid:
    """What is made of each heading; the right side can be changed."""
    rows = []
    known = [IGNORED, *known_headings(look.kind)] if look else []
    for heading, column in (look.columns if look else {}).items():
        rows.append(
            {"heading": heading, "ours": column.canonical if column else "",
             "bad": "" if column else "not known: choose what it is, or ignore"}
        )  # fmt: skip
    bad = {"imports-wrong": "params.data.bad != ''"}
    return dag.AgGrid(
        id=IDS.headings,
        rowData=rows,
        columnDefs=[
            {"field": "heading", "headerName": "In the file", "flex": 1},
            {"field": "ours", "headerName": "Here", "flex": 1, "editable": True,
             "cellEditor": "agSelectCellEditor", "cellClassRules": bad,
             "cellEditorParams": {"values": known}, "tooltipField": "bad"},
        ],
        dashGridOptions={"domLayout": "autoHeight", "rowHeight": 38,
                         "singleClickEdit": True, "enableBrowserTooltips": True},
        getRowId="params.data.heading",
        className="ag-theme-underprop few",
        style={"height": None},
        dangerously_allow_code=False,
    )  # fmt: skip


def said_fields(said: Said, kind: str) -> Component:
    """What the file holds, its order of dates, and what becomes of bad rows."""
    kinds = [{"label": word.value, "value": word.value} for word in FileKind]
    orders = [
        {"label": "day first", "value": "dmy"},
        {"label": "month first", "value": "mdy"},
    ]
    skip = [{"label": "Leave bad rows out", "value": "skip"}]
    return html.Div(
        [
            field("It holds", dcc.Dropdown(id=IDS.kind, options=kinds,
                  value=said.kind or kind, clearable=False), key=IDS.kind),
            choice_field("Dates such as 03/04/2015", dcc.RadioItems(
                id=IDS.dates, options=orders, value=said.dates, inline=True,
                className="choices")),
            choice_field("If rows are bad", dcc.Checklist(
                id=IDS.skip, options=skip, value=["skip"] if said.skip_bad else [],
                className="choices")),
        ],
        className="head-fields",
    )  # fmt: skip


def buttons() -> Component:
    """Try, take in, put away."""
    return html.Div(
        [
            html.Button("Try it", id=IDS.try_it, type="button"),
            html.Button("Take it in", id=IDS.take, type="button"),
            html.Button("Put it away", id=IDS.away, type="button", className="plain"),
        ],
        className="ask buttons",
    )


def _row_column() -> dict[str, Any]:
    return {"field": "row", "headerName": "Row", "width": 76, "pinned": "left",
            "cellClassRules": {"imports-row": "params.data.bad != ''"}}  # fmt: skip


def _columns(headings: Sequence[str]) -> list[dict[str, Any]]:
    return [
        {"field": f"c{n}", "headerName": heading, "editable": True,
         "minWidth": 110, "flex": 1, "tooltipField": f"w{n}",
         "cellClassRules": {"imports-wrong": f"params.data.w{n} != ''"}}
        for n, heading in enumerate(headings)
        if heading
    ]  # fmt: skip


def _problems(
    title: str, problems: Sequence[tuple[int, str, str, str]], before: str
) -> list[Component]:
    if not problems:
        return []
    items = [
        html.Li(
            f"Row {row}"
            + (f", “{heading}”" if heading else "")
            + (f": found “{found}”, " if found else ": ")
            + f"{before}{what}."
        )
        for row, heading, found, what in problems[:LISTED]
    ]
    more = len(problems) - LISTED
    tail = [html.P(f"And {more} more.", className="quiet")] if more > 0 else []
    return [html.H3(title), html.Ul(items, className="imports-problems"), *tail]
