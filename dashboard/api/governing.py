"""The policy and the series: what governs, and what is measured where."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from flask_smorest import Blueprint  # type: ignore[import-untyped]
from marshmallow import Schema, fields, validate

from dashboard.api.operations import Operation, adds
from dashboard.api.shapes import schema_of
from dashboard.context import AppContext
from monitor.schedule.policy_record import to_plain
from monitor.services.exporting.series_list import SeriesLine, series_lines
from monitor.services.planning.policy import policy_in_force


@dataclass(frozen=True, slots=True)
class PolicyNow:
    """The policy in force, as plain data that can be changed and sent back."""

    version: int
    content: dict[str, Any]


_SERIES = Operation(
    "list_series",
    "/series",
    "Every series of a support: its unit, and how often it was read",
    Schema.from_dict(
        {"items": fields.List(fields.Nested(schema_of(SeriesLine)), required=True)},
        name="SeriesList",
    ),
    asked=Schema.from_dict(
        {
            "support": fields.String(
                required=True,
                validate=validate.Length(1, 200),
                metadata={"description": "code on the tag"},
            )
        },
        name="Ask_series",
    ),
)
_POLICY = Operation(
    "get_policy",
    "/policy",
    "The duty-holder's intervals in force",
    schema_of(PolicyNow),
)


def add_governing(api: Blueprint, context: AppContext) -> None:
    """`GET /policy` and `GET /series`."""

    @adds(api, _POLICY)
    def policy() -> PolicyNow:
        with context.store.read_session() as session:
            found = policy_in_force(session)
        return PolicyNow(found.version, to_plain(found))

    @adds(api, _SERIES)
    def series(query: Mapping[str, Any]) -> dict[str, list[SeriesLine]]:
        with context.store.read_session() as session:
            return {"items": series_lines(session, query["support"])}
