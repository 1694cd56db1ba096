"""The API as one blueprint, with its description made from the code."""

from importlib.metadata import version
from typing import Any

from flask import Flask, Response, request
from flask_smorest import Api, Blueprint  # type: ignore[import-untyped]
from werkzeug.exceptions import HTTPException

from dashboard.api import problems
from dashboard.api.doing import add_doing
from dashboard.api.governing import add_governing
from dashboard.api.inspecting import add_inspecting
from dashboard.api.loggers import add_loggers
from dashboard.api.ogc import ogc_blueprint
from dashboard.api.page import add_page
from dashboard.api.reads import add_reads
from dashboard.context import AppContext
from monitor.errors import MonitorError
from monitor.mechanics.screening import CAUTION

BASE = "/api/v1"
_PROBLEM = {
    "type": "object",
    "required": ["type", "title", "status", "detail"],
    "properties": {
        "type": {"type": "string"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string"},
        "code": {"type": "string"},
        "field": {"type": "string"},
        "request": {"type": "string"},
        "errors": {"type": "array", "items": {"type": "object"}},
    },
}


class _OurApi(Api):  # type: ignore[misc]  # flask-smorest is not typed
    """Leaves the errors of all other pages to those."""

    def _register_error_handlers(self) -> None:
        """Nothing: the blueprint answers its own."""


def add_routes(server: Flask, context: AppContext) -> None:
    """Answer under /api/v1, and describe it."""
    server.config.update(
        API_TITLE="Underprop",
        API_VERSION="v1",
        OPENAPI_VERSION="3.1.0",
        OPENAPI_URL_PREFIX=BASE,
        OPENAPI_JSON_PATH="openapi.json",
    )
    info = {"description": DESCRIPTION, "x-program-version": version("underprop")}
    described = _OurApi(server, spec_kwargs={"info": info})
    spec = described.spec
    spec.components.security_scheme("token", {"type": "http", "scheme": "bearer"})
    spec.options["security"] = [{"token": []}]
    content = {problems.MEDIA_TYPE: {"schema": _PROBLEM}}
    spec.components.response(
        "Problem", {"description": "refused, and why", "content": content}
    )
    api = Blueprint("v1", __name__, url_prefix=BASE, description="The record")
    api.register_error_handler(MonitorError, problems.problem_of)
    api.register_error_handler(HTTPException, problems.of_http)
    add_reads(api, context)
    add_governing(api, context)
    add_inspecting(api, context)
    add_doing(api, context)
    add_loggers(api, context)
    described.register_blueprint(api)
    _document_refusals(spec)
    add_page(server, spec)
    server.register_blueprint(ogc_blueprint(context))
    _close(server)
    problems.add_problems(server)
    _tag_answers(server)


def _document_refusals(spec: Any) -> None:  # noqa: ANN401 - apispec is not typed
    """Every operation may be refused; the description says how."""
    for operations in spec._paths.values():
        for operation in operations.values():
            if isinstance(operation, dict) and "responses" in operation:
                operation["responses"]["default"] = {
                    "$ref": "#/components/responses/Problem"
                }


def _close(server: Flask) -> None:
    """Other addresses here lead nowhere: the pages take all that nobody else does."""

    @server.get("/api/<path:rest>")
    def nowhere(rest: str) -> Response:
        return problems.problem(404, f"There is nothing at “/api/{rest[:200]}”.")


def _tag_answers(server: Flask) -> None:
    """ETags on whatever is read, and 304 where the client has it already."""

    @server.after_request
    def tag(response: Response) -> Response:
        is_read = request.method in {"GET", "HEAD"} and response.status_code == 200
        if is_read and request.path.startswith(problems.PREFIXES):
            response.add_etag()
            response.make_conditional(request)
        return response


DESCRIPTION = (
    "The record of installed tree supports, and the watch over them. Programs show a "
    "token as “Authorization: Bearer underprop_…”; a token reads, or reads and "
    "records, within what its account may do. Lists come by the page: give “next” as "
    "“after”. Every refusal is a problem detail (RFC 9457) that names the field. "
    + CAUTION
)
