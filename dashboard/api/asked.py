"""What programs send, read into the commands of the services.

The schema of a body is made from the frozen command, so that what is described, taken
and done can not differ.
"""

import json
import types
import unicodedata
from collections.abc import Mapping
from dataclasses import MISSING, is_dataclass
from dataclasses import fields as fields_of
from datetime import date, datetime
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints
from uuid import UUID

from marshmallow import RAISE, Schema, ValidationError, fields, validate

from dashboard.api.bodies import text_of_request
from monitor.errors import InvalidInput
from monitor.services.recording.checks import LONGEST_TEXT

C = TypeVar("C")


class _Strict:
    """What is not known is refused, and the description says so."""

    unknown = RAISE


MOST = 200
_LONGEST_NUMBER = 300


def body_schema(command: type[Any]) -> type[Schema]:
    """The body that a command is made of; one only for each."""
    if command not in _MADE:
        hints = get_type_hints(command)
        named = {
            field.name: _field(hints[field.name], needed=_is_needed(field))
            for field in fields_of(command)
        }
        made = Schema.from_dict(named, name=command.__name__)
        _MADE[command] = type(command.__name__, (made,), {"Meta": _Strict})
    return _MADE[command]


def command_of_request(command: type[C]) -> C:
    """The command that the body asks for.

    Raises
    ------
    InvalidInput : naming the field that is missing, strange or wrong
    """
    said = _object(text_of_request())
    try:
        return _built(command, body_schema(command)().load(said))
    except ValidationError as error:
        field, why = _first(error.normalized_messages())
        raise InvalidInput(f"“{field}”: {why}", field=field, code="api-004") from error


_MADE: dict[type[Any], type[Schema]] = {}
_PLAIN: dict[object, type[fields.Field[Any]]] = {
    UUID: fields.UUID,
    int: fields.Integer,
    datetime: fields.AwareDateTime,
    date: fields.Date,
}


def _is_needed(field: Any) -> bool:  # noqa: ANN401 - a field of any dataclass
    return field.default is MISSING and field.default_factory is MISSING


def _field(hint: Any, *, needed: bool, none: bool = False) -> fields.Field[Any]:  # noqa: ANN401 - a type
    given: dict[str, Any] = {"required": needed, "allow_none": none}
    if get_origin(hint) in {Union, types.UnionType}:
        (inner,) = (a for a in get_args(hint) if a is not types.NoneType)
        return _field(inner, needed=needed, none=True)
    if hint is str:
        return fields.String(validate=validate.Length(0, LONGEST_TEXT), **given)
    if hint is Any:
        return fields.Raw(**given)
    if hint in _PLAIN:
        return _PLAIN[hint](**given)
    if is_dataclass(hint):
        return fields.Nested(body_schema(hint), **given)  # type: ignore[arg-type]
    inner = _field(
        get_args(hint)[-1 if get_origin(hint) is not tuple else 0], needed=True
    )
    few = validate.Length(0, MOST)
    if get_origin(hint) is tuple:
        return fields.List(inner, validate=few, **given)
    if issubclass(get_origin(hint) or object, Mapping):
        keys = fields.String(validate=validate.Length(1, MOST))
        return fields.Dict(keys=keys, values=inner, validate=few, **given)
    raise TypeError(f"no way to describe {hint}")


def _object(text: str) -> dict[str, Any]:
    try:
        said = json.loads(text, parse_int=_whole, parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        raise InvalidInput(
            f"The body is no JSON: {error!s:.100}.", field="body", code="api-004"
        ) from error
    if not isinstance(said, dict):
        raise InvalidInput("Send one JSON object.", field="body", code="api-004")
    _refuse_odd(said, "body")
    return said


def _refuse_odd(said: object, where: str) -> None:
    """Refuse what is no text: halves of letters, and controls but tab and newline."""
    if isinstance(said, str):
        odd = next((x for x in said if _is_odd(x)), "")
        if odd:
            raise InvalidInput(
                f"“{where}”: the sign U+{ord(odd):04X} can not stand in a text.",
                field=where,
                code="api-004",
            )
    for name, one in said.items() if isinstance(said, dict) else ():
        _refuse_odd(name, where)
        _refuse_odd(one, str(name))
    for one in said if isinstance(said, list) else ():
        _refuse_odd(one, where)


def _is_odd(letter: str) -> bool:
    return unicodedata.category(letter) in {"Cc", "Cs"} and letter not in "\n\t\r"


def _whole(figures: str) -> int | str:
    return int(figures) if len(figures) <= _LONGEST_NUMBER else figures


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is no number")


def _built(command: type[C], said: Mapping[str, Any]) -> C:
    hints = get_type_hints(command)
    return command(**{name: _value(hints[name], value) for name, value in said.items()})


def _value(hint: Any, value: Any) -> Any:  # noqa: ANN401 - whatever the hint says
    if isinstance(value, list):
        return tuple(_value(get_args(_some(hint))[0], one) for one in value)
    if is_dataclass(_some(hint)) and value is not None:
        return _built(_some(hint), value)
    return value


def _some(hint: Any) -> Any:  # noqa: ANN401 - a type
    if get_origin(hint) in {Union, types.UnionType}:
        return next(a for a in get_args(hint) if a is not types.NoneType)
    return hint


def _first(messages: Any, path: str = "") -> tuple[str, str]:  # noqa: ANN401 - nested
    """The first field that is wrong, as a path, and why."""
    if isinstance(messages, dict):
        name, inner = next(iter(messages.items()))
        return _first(inner, f"{path}.{name}".strip("."))
    return path, " ".join(map(str, messages))
