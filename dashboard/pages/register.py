"""The register: every support, searched as one types."""

from types import SimpleNamespace

from dash import ClientsideFunction, Dash, Input, Output, State, ctx, dcc, html
from dash.development.base_component import Component
from flask import has_request_context

from dashboard import register_file
from dashboard.access import signed_in
from dashboard.components import bulk_form
from dashboard.components.alerts import shown_as_alert
from dashboard.components.register_table import (
    CHOSEN,
    USUAL,
    Sought,
    found_words,
    register_table,
)
from dashboard.components.text import counted, sentence
from dashboard.context import AppContext
from monitor.domain.rights import Right
from monitor.services.showing.register_page import (
    ORDERS,
    Census,
    SupportSearch,
    census,
    found_lines,
)

NAME, PATH = "register", "/register"
QUERY = ("q", "sort", "down", "page")

IDS = SimpleNamespace(
    search="register-search",
    table="register-table",
    shown="register-shown",
    columns="register-columns",
    sought="register-sought",
    file="register-file",
)


def title() -> str:
    """Title of the page."""
    return "Register"


@shown_as_alert
def layout(
    context: AppContext, q: str = "", sort: str = "code", down: str = "", page: str = ""
) -> Component:
    """How many there are, the search, the table."""
    with context.store.read_session() as session:
        counts = census(session)
    sought = {
        "order": sort,
        "is_descending": down == "1",
        "page": int(page) if page.isdecimal() else 1,
    }
    return html.Article(
        [
            html.H1(_headline(counts)),
            dcc.Store(id=IDS.sought, data=sought),
            html.Div(
                [
                    html.Label("Search", htmlFor=IDS.search),
                    dcc.Input(
                        id=IDS.search,
                        value=q,
                        type="search",
                        debounce=0.2,
                        placeholder="code, site, species, make safe, cable …",
                        autoComplete="off",
                    ),
                    html.P(id=IDS.shown, className="quiet", role="status"),
                ],
                className="search",
            ),
            html.Div(id=IDS.table),
            _columns(),
            html.P(html.A("Save as a file", id=IDS.file, href=register_file.PATH),
                   className="no-print"),
            *_keeping(),
        ],
        className="wide",
    )  # fmt: skip


def register(app: Dash, context: AppContext) -> None:
    """The table follows the words and the columns; the address follows the words."""

    @app.callback(
        Output(IDS.table, "children"),
        Output(IDS.shown, "children"),
        Output(IDS.file, "href"),
        Input(IDS.search, "value"),
        Input(IDS.columns, "value"),
        State(IDS.sought, "data"),
    )
    def fill(
        words: str | None, names: list[str] | None, place: dict[str, int | str] | None
    ) -> tuple[Component, str, str]:
        sought = _sought(words, place, is_typed=ctx.triggered_id == IDS.search)
        return _table(context, sought, names or [])

    app.clientside_callback(
        ClientsideFunction("underprop", "search"),
        Output(IDS.search, "title"),
        Input(IDS.search, "value"),
        prevent_initial_call=True,
    )
    bulk_form.register(app, context, IDS.search)


def _sought(
    words: str | None, place: dict[str, int | str] | None, *, is_typed: bool
) -> Sought:
    given = place or {}
    order = str(given.get("order", "code"))
    return Sought(
        str(words or ""),
        order if order in ORDERS else "code",
        bool(given.get("is_descending")),
        1 if is_typed else int(given.get("page", 1)),
    )


def _table(
    context: AppContext, sought: Sought, names: list[str]
) -> tuple[Component, str, str]:
    with context.store.read_session() as session:
        found = found_lines(session, _search(sought), sought.page)
    words = found_words(found, sought)
    rows = html.Div(register_table(found, sought, names))
    return rows, words, register_file.address(sought, names)


def _search(sought: Sought) -> SupportSearch:
    return SupportSearch(sought.words, sought.order, sought.is_descending)


def _headline(counts: Census) -> str:
    if not counts.in_service and not counts.removed:
        return "No support is recorded yet."
    words = (
        f"{counted(counts.in_service, 'support')} under {counted(counts.trees, 'tree')}"
    )
    if counts.removed:
        words += f", and {counted(counts.removed, 'removed one')} kept in memory"
    return sentence(words) + "."


def _columns() -> Component:
    return html.Details(
        [
            html.Summary("Columns"),
            html.Fieldset(
                [
                    html.Legend("Shown beside code and standing", className="quiet"),
                    dcc.Checklist(
                        id=IDS.columns,
                        options=[
                            {"label": column.heading, "value": column.name}
                            for column in CHOSEN
                        ],
                        value=list(USUAL),
                        persistence="register",
                        persistence_type="local",
                        className="choices",
                        inline=True,
                    ),
                ]
            ),
        ],
        className="no-print",
    )


def _keeping() -> list[Component]:
    """What only those see who may change the register."""
    if has_request_context() and not signed_in().may(Right.KEEP_REGISTER):
        return []
    enter = dcc.Link("Enter a new support", href="/new", className="action")
    return [html.P(enter), bulk_form.bulk_form()]
