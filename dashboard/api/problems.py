"""Every refusal under /api and /ogc as problem details, RFC 9457."""

import json
from http import HTTPStatus
from typing import Any

from flask import Flask, Response, g, request
from werkzeug.exceptions import HTTPException

from monitor.errors import (
    Conflict,
    ImportRejected,
    InsufficientData,
    InvalidInput,
    MonitorError,
    NotAllowed,
    NotFound,
    StoreError,
)

PREFIXES = ("/api/", "/ogc")
MEDIA_TYPE = "application/problem+json"
STATUS_OF: dict[type[MonitorError], HTTPStatus] = {
    NotFound: HTTPStatus.NOT_FOUND,
    NotAllowed: HTTPStatus.FORBIDDEN,
    InvalidInput: HTTPStatus.UNPROCESSABLE_ENTITY,
    InsufficientData: HTTPStatus.UNPROCESSABLE_ENTITY,
    Conflict: HTTPStatus.CONFLICT,
    StoreError: HTTPStatus.SERVICE_UNAVAILABLE,
}
MOST_SHOWN = 100


def problem(status: int, detail: str, **more: Any) -> Response:  # noqa: ANN401 - JSON
    """One refusal; `more` holds code, field and the like."""
    said = {
        "type": "about:blank",
        "title": HTTPStatus(status).phrase,
        "status": status,
        "detail": detail,
        "request": g.get("request_id", ""),
        **{name: value for name, value in more.items() if value},
    }
    text = json.dumps(said, ensure_ascii=False)
    return Response(text, status=status, content_type=MEDIA_TYPE)


def problem_of(error: MonitorError) -> Response:
    """The problem that one of our errors is."""
    status = next(
        (s for kind, s in STATUS_OF.items() if isinstance(error, kind)),
        HTTPStatus.INTERNAL_SERVER_ERROR,
    )
    rows = error.problems if isinstance(error, ImportRejected) else ()
    errors = [
        {"row": p.row, "field": p.column, "found": p.found, "expected": p.expected}
        for p in rows[:MOST_SHOWN]
    ]
    field = error.field if isinstance(error, InvalidInput) else ""
    if rows and not field:
        field = rows[0].column
    return problem(status, error.message, code=error.code, field=field, errors=errors)


def of_http(error: HTTPException) -> Response:
    """What the web framework refuses, with the fields it names."""
    status = error.code or 500
    data: dict[str, Any] = getattr(error, "data", None) or {}
    messages: dict[str, dict[str, Any]] = data.get("messages") or {}
    errors = [
        {"field": str(field), "expected": " ".join(map(str, _listed(said)))}
        for place in messages.values()
        for field, said in place.items()
    ]
    detail = "; ".join(f"{e['field']}: {e['expected']}" for e in errors)
    answer = problem(
        status,
        detail or _WORDS.get(status, "This can not be answered."),
        field=errors[0]["field"] if errors else "",
        errors=errors,
    )
    for name, value in error.get_headers():
        if name.casefold() in {"allow", "retry-after"}:
            answer.headers[name] = value
    return answer


def add_problems(server: Flask) -> None:
    """Turn what was refused before it reached the API, such as at the gate."""

    @server.after_request
    def turn(response: Response) -> Response:
        is_plain = response.mimetype not in {MEDIA_TYPE, "application/json"}
        is_refusal = response.status_code >= HTTPStatus.BAD_REQUEST
        if not (request.path.startswith(PREFIXES) and is_refusal and is_plain):
            return response
        status = response.status_code
        is_text = response.mimetype == "text/plain" or "<" not in response.get_data(
            as_text=True
        )
        detail = response.get_data(as_text=True) if is_text else _WORDS[500]
        turned = problem(status, detail or _WORDS.get(status, ""))
        response.set_data(turned.get_data())
        response.content_type = MEDIA_TYPE
        if status == HTTPStatus.UNAUTHORIZED:
            response.headers["WWW-Authenticate"] = "Bearer"
        return response


def _listed(said: object) -> list[object]:
    return said if isinstance(said, list) else [said]


_WORDS = {
    400: "This is no request that is understood here.",
    404: "There is nothing at this address.",
    405: "This address does not take that.",
    413: "That is larger than this address takes.",
    415: "Send JSON in UTF-8, not compressed.",
    500: "Something went wrong here; it was written down under the request's number.",
}
