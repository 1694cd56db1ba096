"""Recording one inspection from a program: the same use-case as every other way."""

from dataclasses import replace
from uuid import UUID

from flask import request
from flask_smorest import Blueprint  # type: ignore[import-untyped]

from dashboard.access import signed_in
from dashboard.api.bodies import text_of_request
from dashboard.api.operations import Operation, adds
from dashboard.api.shapes import schema_of
from dashboard.context import AppContext
from monitor.domain.inspections import Inspection
from monitor.domain.vocabulary import Answer, Grade, InspectionKind, LeafState
from monitor.errors import Conflict, InvalidInput, NotAllowed
from monitor.services.recording.commands import InspectionCommand
from monitor.services.recording.json_commands import inspection_from_json
from monitor.services.recording.record import record_inspection
from monitor.store import records

_TEXT = {"type": "string"}
READING = {
    "type": "object",
    "required": ["quantity"],
    "additionalProperties": False,
    "properties": {
        "quantity": _TEXT,
        "value": {
            "description": "a number, or text such as “14 mm” or “3/8 in”",
            "oneOf": [_TEXT, {"type": "number"}],
        },
        "unit": _TEXT,
        "member": _TEXT,
        "mark": _TEXT,
        "repeat": {"type": "integer", "minimum": 0, "maximum": 99},
        "method": _TEXT,
        "instrument": _TEXT,
        "answer": {"enum": [a.value for a in Answer if a is not Answer.WITHDRAWN]},
        "why": _TEXT,
        "sd": {
            "type": "number",
            "exclusiveMinimum": 0,
            "description": "standard deviation measured with it, unit of the quantity",
        },
    },
}
FINDING = {
    "type": "object",
    "required": ["code"],
    "additionalProperties": False,
    "properties": {
        "code": _TEXT,
        "grade": {"enum": [grade.value for grade in Grade]},
        "member": _TEXT,
        "note": _TEXT,
    },
}
INSPECTION = {
    "type": "object",
    "required": ["support", "date", "inspector"],
    "additionalProperties": False,
    "properties": {
        "support": {**_TEXT, "description": "code on the tag"},
        "date": {**_TEXT, "format": "date", "description": "civil date at the site"},
        "inspector": _TEXT,
        "kind": {"enum": [kind.value for kind in InspectionKind]},
        "air": {**_TEXT, "description": "air temperature with its unit"},
        "leaf": {"enum": [state.value for state in LeafState]},
        "note": _TEXT,
        "id": {**_TEXT, "format": "uuid", "description": "made by the client"},
        "device_at": {**_TEXT, "format": "date-time"},
        "sure": {"type": "array", "items": _TEXT},
        "readings": {"type": "array", "items": READING},
        "findings": {"type": "array", "items": FINDING},
    },
}


RECORD = Operation(
    "record_inspection",
    "/inspections",
    "Record one inspection",
    schema_of(Inspection),
    method="POST",
    status=201,
    more={
        "description": (
            "Sent twice under one id, in the body or as Idempotency-Key, it is "
            "recorded once and answered the same; another inspection under that id is "
            "refused with 422. What is surprising is asked back with 422 and a key "
            "that belongs into “sure”."
        ),
        "requestBody": {
            "required": True,
            "content": {"application/json": {"schema": INSPECTION}},
        },
        "parameters": [
            {
                "name": "Idempotency-Key",
                "in": "header",
                "schema": {"type": "string", "format": "uuid"},
            }
        ],
    },
)


def add_inspecting(api: Blueprint, context: AppContext) -> None:
    """`POST /inspections`."""

    @adds(api, RECORD)
    def record() -> Inspection:
        if not signed_in().may_record:
            raise NotAllowed("This key does not record.", code="acc-004")
        return _recorded(context, _command())


def _command() -> InspectionCommand:
    command = inspection_from_json(text_of_request(), source="api")
    key = request.headers.get("Idempotency-Key", "")
    if not key:
        return command
    try:
        given = UUID(key)
    except ValueError:
        raise _wrong_key("it is no UUID") from None
    if command.id not in (None, given):
        raise _wrong_key("the body names another id")
    return replace(command, id=given)


def _recorded(context: AppContext, command: InspectionCommand) -> Inspection:
    now = context.clock.now()
    try:
        with context.store.write_session() as session:
            return record_inspection(
                session, command, actor=signed_in().account.name, now=now
            )
    except Conflict as no:
        if not _is_taken(context, command.id):
            raise
        raise InvalidInput(no.message, field="id", code=no.code) from no


def _is_taken(context: AppContext, key: UUID | None) -> bool:
    if key is None:
        return False
    with context.store.read_session() as session:
        return records.INSPECTIONS.find(session, id=key) is not None


def _wrong_key(why: str) -> InvalidInput:
    return InvalidInput(
        f"Idempotency-Key: {why}.", field="Idempotency-Key", code="api-003"
    )
