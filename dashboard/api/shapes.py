"""Schemas made from the frozen records, so that the description can not go astray."""

import types
from dataclasses import fields as fields_of
from datetime import date, datetime
from enum import StrEnum
from typing import Any, Union, get_args, get_origin, get_type_hints
from uuid import UUID

from marshmallow import Schema, fields

SECRET = frozenset({"details"})
"""Fields that are for our own pages only."""


def schema_of(record: type[Any]) -> type[Schema]:
    """A schema with the fields of a frozen dataclass; one only for each."""
    if record not in _MADE:
        _MADE[record] = _made(record)
    return _MADE[record]


_MADE: dict[type[Any], type[Schema]] = {}


def _made(record: type[Any]) -> type[Schema]:
    hints = get_type_hints(record)
    shown = {
        field.name: _field(hints[field.name])
        for field in fields_of(record)
        if field.name not in SECRET
    }
    return Schema.from_dict(shown, name=record.__name__)


def page_schema(record: type[Any]) -> type[Schema]:
    """A page of records: the items, and where the next page begins."""
    description = "give it as `after` to read on; null at the end"
    return Schema.from_dict(
        {
            "items": fields.List(fields.Nested(schema_of(record)), required=True),
            "next": fields.String(
                required=True, allow_none=True, metadata={"description": description}
            ),
        },
        name=f"{record.__name__}Page",
    )


_PLAIN: dict[object, type[fields.Field[Any]]] = {
    UUID: fields.UUID,
    str: fields.String,
    int: fields.Integer,
    bool: fields.Boolean,
    datetime: fields.AwareDateTime,
    date: fields.Date,
}


def _field(hint: Any, *, none: bool = False) -> fields.Field[Any]:  # noqa: ANN401 - a type
    given: dict[str, Any] = {"required": True, "allow_none": none}
    if get_origin(hint) in {Union, types.UnionType}:
        (inner,) = (a for a in get_args(hint) if a is not types.NoneType)
        return _field(inner, none=True)
    if hint is float:
        return fields.Float(allow_nan=False, **given)
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return fields.Enum(hint, by_value=True, **given)
    if hint in _PLAIN:
        return _PLAIN[hint](**given)
    if hasattr(hint, "__dataclass_fields__"):
        return fields.Nested(schema_of(hint), **given)
    if get_origin(hint) is tuple and get_args(hint)[1:] == (Ellipsis,):
        return fields.List(_field(get_args(hint)[0]), **given)
    if get_origin(hint) is tuple:
        return fields.List(fields.Raw(), **given)
    return fields.Raw(**given)
