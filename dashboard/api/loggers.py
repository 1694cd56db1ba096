"""`POST /loggers/readings`: values that a logger or sensor sends by itself."""

import json
from typing import Any

from flask_smorest import Blueprint  # type: ignore[import-untyped]

from dashboard.access import signed_in
from dashboard.api.bodies import text_of_request
from dashboard.api.operations import Operation, adds
from dashboard.api.shapes import schema_of
from dashboard.context import AppContext
from monitor.domain.quantities import QUANTITIES
from monitor.errors import InvalidInput, NotAllowed
from monitor.services.loggers.take import MOST_VALUES, Taken, take_sending
from monitor.services.recording.checks import Stamp

LINES = "application/x-ndjson"
VALUE = {
    "type": "object",
    "required": ["mark", "quantity", "at", "value"],
    "additionalProperties": False,
    "properties": {
        "mark": {"type": "string", "description": "id, or support/member/mark"},
        "quantity": {"enum": list(QUANTITIES)},
        "at": {"type": "string", "format": "date-time"},
        "value": {"type": "number", "description": "in the canonical unit"},
    },
}
_MANY = {"type": "array", "minItems": 1, "maxItems": MOST_VALUES, "items": VALUE}
TAKE = Operation(
    "take_logger_values",
    "/loggers/readings",
    "Take in what a logger sent",
    schema_of(Taken),
    method="POST",
    status=201,
    more={
        "description": (
            "A JSON array, or one JSON object a line as application/x-ndjson. All "
            "values are kept as they came; pages show and outlooks weigh the median "
            "of each day with its spread. Sent again it changes nothing."
        ),
        "requestBody": {
            "required": True,
            "content": {
                "application/json": {"schema": _MANY},
                LINES: {"schema": {"type": "string"}},
            },
        },
    },
)


def add_loggers(api: Blueprint, context: AppContext) -> None:
    """Let loggers in."""

    @adds(api, TAKE)
    def take() -> Taken:
        if not signed_in().may_record:
            raise NotAllowed("This key does not record.", code="acc-004")
        rows = _rows()
        stamp = Stamp(signed_in().account.name, context.clock.now())
        with context.store.write_session() as session:
            return take_sending(session, rows, stamp)


def _rows() -> list[Any]:
    text = text_of_request(("application/json", LINES))
    if not text.lstrip().startswith("["):
        lines = [line for line in text.splitlines() if line.strip()]
        return [_parsed(line, f"line {n}") for n, line in enumerate(lines, 1)]
    rows = _parsed(text, "the body")
    return rows if isinstance(rows, list) else [rows]


def _parsed(text: str, where: str) -> Any:  # noqa: ANN401 - whatever JSON holds
    try:
        return json.loads(text, parse_int=_whole)
    except (ValueError, RecursionError) as error:
        raise InvalidInput(
            f"{where} is no JSON: {error!s:.100}.", field=where, code="log-002"
        ) from error


def _whole(figures: str) -> int | str:
    return int(figures) if len(figures) <= 300 else figures
