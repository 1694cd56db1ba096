"""The register: every support, searched as one types."""

from types import SimpleNamespace
from typing import Any

import dash_ag_grid as dag
from dash import ClientsideFunction, Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component

from dashboard.components.alerts import shown_as_alert
from dashboard.components.entries import support_address
from dashboard.components.standing import UNKNOWN, slug
from dashboard.components.text import counted, day, listed, sentence
from dashboard.context import AppContext
from monitor.services.showing import register as show_register
from monitor.services.showing.register import OverviewLine

NAME, PATH = "register", "/register"
QUERY = ("q",)
FEW = 12
"""So many rows need no scrolling of their own."""

IDS = SimpleNamespace(
    search="register-search", grid="register-grid", shown="register-shown"
)


def title() -> str:
    """Title of the page."""
    return "Register"


@shown_as_alert
def layout(context: AppContext, q: str = "") -> Component:
    """How many there are, the search, the grid."""
    with context.store.read_session() as session:
        lines = show_register.register(session)
    return html.Article(
        [
            html.H1(_headline(lines)),
            html.Div(
                [
                    html.Label("Search", htmlFor=IDS.search),
                    dcc.Input(
                        id=IDS.search,
                        value=q,
                        type="search",
                        debounce=False,
                        placeholder="code, site, species, make safe, cable …",
                        autoComplete="off",
                    ),
                    html.P(id=IDS.shown, className="quiet", role="status"),
                ],
                className="search",
            ),
            _grid(lines),
        ],
        className="wide",
    )


def register(app: Dash, context: AppContext) -> None:
    """Search, count and address are kept in step in the browser."""
    app.clientside_callback(
        ClientsideFunction("underprop", "search"),
        Output(IDS.grid, "dashGridOptions"),
        Output(IDS.grid, "columnDefs"),
        Input(IDS.search, "value"),
        State(IDS.grid, "columnDefs"),
        State(IDS.grid, "dashGridOptions"),
    )
    app.clientside_callback(
        ClientsideFunction("underprop", "shown"),
        Output(IDS.shown, "children"),
        Input(IDS.grid, "virtualRowData"),
        State(IDS.grid, "rowData"),
    )


def _headline(lines: tuple[OverviewLine, ...]) -> str:
    if not lines:
        return "No support is recorded yet."
    standing = [line for line in lines if line.removed_on is None]
    removed = len(lines) - len(standing)
    trees = len({(line.site_code, line.tree) for line in standing})
    words = f"{counted(len(standing), 'support')} under {counted(trees, 'tree')}"
    if removed:
        words += f", and {counted(removed, 'removed one')} kept in memory"
    return sentence(words) + "."


def _grid(lines: tuple[OverviewLine, ...]) -> dag.AgGrid:
    return dag.AgGrid(
        id=IDS.grid,
        rowData=[_row(line) for line in lines],
        columnDefs=_COLUMNS,
        defaultColDef={
            "sortable": True,
            "resizable": True,
            "suppressMovable": True,
            "suppressHeaderMenuButton": True,
        },
        dashGridOptions={"domLayout": "autoHeight" if len(lines) <= FEW else "normal"},
        style={"height": None},
        getRowId="params.data.code",
        className="ag-theme-underprop" + (" few" if len(lines) <= FEW else ""),
        dangerously_allow_code=False,
    )


def _column(field: str, heading: str, **more: Any) -> dict[str, Any]:  # noqa: ANN401 - grid's own
    return {"field": field, "headerName": heading, **more}


_COLUMNS = [
    _column("all", "Support", cellRenderer="SupportWords", hide=True, flex=1,
            wrapText=True, autoHeight=True),
    _column("code", "Code", cellRenderer="SupportLink", width=92, pinned="left"),
    _column("standing", "Standing", cellRenderer="Standing", width=150,
            comparator={"function": "byStanding"}),
    _column("site", "Site", flex=4, minWidth=150, cellClass="wraps"),
    _column("tree", "Tree", flex=3, minWidth=110, cellClass="wraps"),
    _column("species", "Species", flex=3, minWidth=130, cellClass="latin wraps"),
    _column("kinds", "Made of", width=104),
    _column("due_iso", "Next due", width=176, cellRenderer="Day"),
    _column("last_iso", "Last looked", width=176, cellRenderer="Day"),
]  # fmt: skip


def _row(line: OverviewLine) -> dict[str, object]:
    is_removed = line.removed_on is not None
    standing = line.standing.value if line.standing else UNKNOWN
    return {
        "code": line.code,
        "href": support_address(line.code),
        "standing": "removed" if is_removed else standing,
        "slug": "removed" if is_removed else slug(line.standing),
        "site": line.site,
        "tree": line.tree,
        "species": line.species,
        "kinds": listed([kind.value for kind in line.kinds]),
        "due_iso": "" if is_removed else _iso(line.due_on),
        "due": "" if is_removed or line.due_on is None else day(line.due_on),
        "last_iso": _iso(line.last_on),
        "last": day(line.last_on) if line.last_on else "never",
        "all": f"{line.reason} {line.target} {line.site_code}",
    }


def _iso(on: object) -> str:
    return str(on) if on else ""
