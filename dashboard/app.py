"""Builds the web application; importing this does nothing.

The pages are routed here and not by Dash's own registry, which is one for the whole
process: with it a second application would answer with the first one's record.
"""

from collections.abc import Callable
from pathlib import Path
from types import ModuleType

from dash import ClientsideFunction, Dash, Input, Output, html
from dash.development.base_component import Component

from dashboard import (
    access,
    add_photo,
    calendar_feed,
    import_routes,
    map_routes,
    papers_routes,
    photo_routes,
    register_file,
    round_routes,
    running,
    sign_in,
    unsubscribe,
)
from dashboard.api import routes as api
from dashboard.callback_shape import check_callbacks
from dashboard.components.brand import ICON
from dashboard.components.shell import places, shell
from dashboard.context import AppContext
from dashboard.entry import links, my_account, people_routes, prove, provider
from dashboard.field.routes import field_blueprint
from dashboard.headers import add_headers
from dashboard.pages import (
    account,
    correct,
    days,
    decide,
    due,
    events,
    fleet,
    forecasts,
    guide,
    guides,
    imports,
    map,
    margin,
    new,
    not_found,
    notices,
    papers,
    people,
    photos,
    policy,
    record,
    register,
    round,
    rounds,
    support,
    today,
    work,
    year,
    year_days,
)
from dashboard.routing import Route, find_route, query_of
from dashboard.viewers import for_nobody, for_viewers
from monitor.domain.rights import Right

PAGES: tuple[ModuleType, ...] = (
    today,
    decide,
    register,
    new,
    map,
    imports,
    support,
    photos,
    margin,
    due,
    days,
    record,
    work,
    correct,
    rounds,
    round,
    year,
    year_days,
    events,
    policy,
    forecasts,
    fleet,
    notices,
    account,
    people,
    papers,
    guides,
    guide,
)

_INDEX = """<!DOCTYPE html>
<html lang="en-GB">
<head>
{%metas%}
<meta name="color-scheme" content="light dark">
<title>{%title%}</title>
<link rel="icon" href="{{icon}}">
{%css%}
</head>
<body>
{%app_entry%}
<noscript><p class="quiet">These pages need scripts, which this browser has switched
off.</p></noscript>
<div>{%config%}{%scripts%}{%renderer%}</div>
</body>
</html>"""


def create_app(context: AppContext) -> Dash:
    """Return a fresh application; several can live in one process."""
    app = Dash(
        "underprop",
        assets_folder=str(Path(__file__).parent / "assets"),
        index_string=_INDEX.replace("{{icon}}", ICON),
        title="Underprop",
        update_title="",
        serve_locally=True,
        enable_mcp=False,
        meta_tags=[
            {"name": "viewport", "content": "width=device-width, initial-scale=1"}
        ],
    )
    whole, context = context, for_viewers(context)
    running.add_routes(app.server, whole)
    access.guard(app.server, whole)
    check_callbacks(app)
    sign_in.add_routes(app.server, whole)
    provider.add_routes(app.server, whole)
    prove.add_routes(app.server, whole)
    links.add_routes(app.server, whole)
    my_account.add_routes(app.server, whole)
    people_routes.add_routes(app.server, whole)
    calendar_feed.add_routes(app.server, context)
    photo_routes.add_routes(app.server, context)
    add_photo.add_routes(app.server, context)
    unsubscribe.add_routes(app.server, context)
    register_file.add_routes(app.server, context)
    papers_routes.add_routes(app.server, context)
    map_routes.add_routes(app.server, context)
    import_routes.add_routes(app.server, context)
    round_routes.add_routes(app.server, context)
    _add_pages(app, context)
    app.server.register_blueprint(field_blueprint(context))
    api.add_routes(app.server, context)
    add_headers(app.server, context, list(app.csp_hashes()))
    return app


def _add_pages(app: Dash, context: AppContext) -> None:
    routes = tuple(Route(page.NAME, page.PATH) for page in PAGES)
    by_name = {page.NAME: page for page in PAGES}
    app.layout = shell
    nothing = for_nobody(context)
    shapes = [shell(), *(page.layout(nothing) for page in PAGES)]
    app.validation_layout = html.Div(shapes)  # type: ignore[assignment]  # says None
    for page in PAGES:
        page.register(app, context)

    @app.callback(
        Output("shell-page", "children"),
        Output("shell-title", "data"),
        Output("shell-places", "children"),
        Input("shell-address", "pathname"),
        Input("shell-address", "search"),
    )
    def show_page(
        path: str | None, search: str | None
    ) -> tuple[Component, str, list[Component]]:
        address = str(path or "/")
        found = find_route(routes, address)
        if found is None:
            return not_found.layout(), not_found.title(), places(address)
        name, parts = found
        page = by_name[name]
        if not _is_for(page):
            return not_found.layout(), not_found.title(), places(address)
        layout: Callable[..., Component] = page.layout
        query = query_of(str(search or ""), page.QUERY)
        return layout(context, **parts, **query), page.title(**parts), places(address)

    app.clientside_callback(
        ClientsideFunction("underprop", "title"),
        Output("shell-announcement", "children"),
        Input("shell-title", "data"),
    )


def _is_for(page: ModuleType) -> bool:
    """Whether a page is there for who asks; some want a right."""
    needs: Right | None = getattr(page, "NEEDS", None)
    return needs is None or access.signed_in().may(needs)
