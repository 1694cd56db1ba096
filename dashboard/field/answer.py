"""How the form's addresses answer: JSON, and refusals in words."""

import json
from datetime import date
from http import HTTPStatus

from flask import Response

from monitor.errors import (
    Conflict,
    InvalidInput,
    MonitorError,
    NotAllowed,
    NotFound,
    StoreUnavailable,
)

_STATUS = (
    (InvalidInput, HTTPStatus.UNPROCESSABLE_ENTITY),
    (NotFound, HTTPStatus.NOT_FOUND),
    (Conflict, HTTPStatus.CONFLICT),
    (NotAllowed, HTTPStatus.FORBIDDEN),
    (StoreUnavailable, HTTPStatus.SERVICE_UNAVAILABLE),
)


def as_json(content: object, status: int = HTTPStatus.OK) -> Response:
    """An answer for the scripts of the form."""
    body = json.dumps(content, ensure_ascii=False, default=_plain, allow_nan=False)
    return Response(body, status=status, content_type="application/json")


def said_no(error: MonitorError) -> Response:
    """Our own refusals, with the sentence to show."""
    status = next(
        (status for kind, status in _STATUS if isinstance(error, kind)),
        HTTPStatus.INTERNAL_SERVER_ERROR,
    )
    return as_json({"sentence": error.message, "code": error.code}, status)


def _plain(value: object) -> str:
    """Days and instants as ISO 8601, which every browser reads; ids as text."""
    return value.isoformat() if isinstance(value, date) else str(value)
