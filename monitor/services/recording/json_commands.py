"""An inspection as a device or a script writes it: JSON, read strictly."""

import json
import math
from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any
from uuid import UUID

from monitor.errors import InvalidInput
from monitor.services.recording.commands import (
    FindingCommand,
    InspectionCommand,
    ReadingCommand,
)

_WORDS = ("support", "inspector", "kind", "air", "leaf", "note")
_HEAD = {*_WORDS, "id", "date", "device_at", "sure", "readings", "findings"}
_READING = (
    "quantity",
    "unit",
    "member",
    "mark",
    "method",
    "instrument",
    "answer",
    "why",
)
_FINDING = ("code", "grade", "member", "note")
LONGEST_NUMBER = 300
_REQUIRED = ("support", "date", "inspector")


def inspection_from_json(text: str, *, source: str = "command") -> InspectionCommand:
    """The inspection a JSON object asks to have recorded.

    Keys: support, date (ISO), inspector, kind, air, leaf, note, id, device_at, sure
    (a list of keys), readings (quantity, value, unit, member, mark, repeat, method,
    instrument, answer, why), findings (code, grade, member, note). All but the first
    three may be left out; a value may be a number or text with a unit.

    Raises
    ------
    InvalidInput : naming the key that is missing, strange or of the wrong type
    """
    said = _parsed(text)
    _refuse_strange(said, _HEAD, "the inspection")
    missing = [key for key in _REQUIRED if not said.get(key)]
    if missing:
        raise _wrong(missing[0], "it is missing")
    words = {key: _text(said, key) for key in _WORDS}
    return InspectionCommand(
        inspected_on=_taken(said, "date", date.fromisoformat),
        id=_taken(said, "id", UUID) if said.get("id") else None,
        device_at=_instant(said),
        readings=tuple(_reading(item) for item in _items(said, "readings")),
        findings=tuple(_finding(item) for item in _items(said, "findings")),
        sure=frozenset(map(str, _list(said, "sure"))),
        source=source,
        **words,
    )


def _parsed(text: str) -> Mapping[str, Any]:
    try:
        said = json.loads(
            text,
            parse_constant=float,
            parse_int=_whole,
            object_pairs_hook=_without_twins,
        )
    except RecursionError:
        raise _wrong("", "it is nested too deeply") from None
    except json.JSONDecodeError as error:
        raise _wrong("", f"it is no JSON ({error})") from error
    if not isinstance(said, dict):
        raise _wrong("", "one JSON object is expected")
    return said


def _reading(said: Mapping[str, Any]) -> ReadingCommand:
    _refuse_strange(said, {*_READING, "value", "repeat", "sd"}, "a reading")
    repeat = said.get("repeat", 0)
    if isinstance(repeat, bool) or not isinstance(repeat, int) or not 0 <= repeat < 100:
        raise _wrong("repeat", f"found {repeat!r}, expected a whole number")
    words = {key: _text(said, key) for key in _READING}
    return ReadingCommand(text=_value(said), repeat=repeat, sd=_sd(said), **words)


def _finding(said: Mapping[str, Any]) -> FindingCommand:
    _refuse_strange(said, set(_FINDING), "a finding")
    return FindingCommand(**{key: _text(said, key) for key in _FINDING})


def _value(said: Mapping[str, Any]) -> str:
    value = said.get("value", "")
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise _wrong("value", f"found {value!r:.40}, expected a number or text")
    if isinstance(value, float) and not math.isfinite(value):
        raise _wrong("value", f"found {value}, expected a finite number")
    return str(value)


def _sd(said: Mapping[str, Any]) -> float | None:
    sd = said.get("sd")
    if sd is not None and (isinstance(sd, bool) or not isinstance(sd, int | float)):
        raise _wrong("sd", f"found {sd!r:.40}, expected a number")
    return None if sd is None else float(sd)


def _text(said: Mapping[str, Any], key: str) -> str:
    value = said.get(key) or ""
    if not isinstance(value, str):
        raise _wrong(key, f"found {value!r:.40}, expected text")
    return value


def _taken(said: Mapping[str, Any], key: str, take: Callable[[str], Any]) -> Any:  # noqa: ANN401 - as `take` gives
    try:
        return take(_text(said, key))
    except ValueError:
        raise _wrong(key, f"found “{said[key]}”, expected {_EXPECTED[key]}") from None


def _instant(said: Mapping[str, Any]) -> datetime | None:
    if not said.get("device_at"):
        return None
    at: datetime = _taken(said, "device_at", datetime.fromisoformat)
    if at.tzinfo is None:
        raise _wrong("device_at", f"found “{at}”, expected {_EXPECTED['device_at']}")
    return at


def _items(said: Mapping[str, Any], key: str) -> list[Mapping[str, Any]]:
    items = _list(said, key)
    if not all(isinstance(item, dict) for item in items):
        raise _wrong(key, "a list of objects is expected")
    return items


def _list(said: Mapping[str, Any], key: str) -> list[Any]:
    items = said.get(key, [])
    if not isinstance(items, list):
        raise _wrong(key, "a list is expected")
    return items


def _refuse_strange(said: Mapping[str, Any], known: set[str], what: str) -> None:
    strange = sorted(set(said) - known)
    if strange:
        known_keys = ", ".join(sorted(known))
        raise _wrong(strange[0], f"{what} has no such key, but {known_keys}")


def _whole(figures: str) -> int | str:
    """A whole number; one of hundreds of figures stays text, to be refused as such."""
    return int(figures) if len(figures) <= LONGEST_NUMBER else figures


def _without_twins(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    said = dict(pairs)
    if len(said) != len(pairs):
        keys = [key for key, _ in pairs]
        twin = next(key for key in keys if keys.count(key) > 1)
        raise _wrong(twin, "it is said twice")
    return said


def _wrong(key: str, why: str) -> InvalidInput:
    where = f"“{key}”: " if key else ""
    return InvalidInput(
        f"The JSON of the inspection was not taken: {where}{why}.",
        field=key,
        code="rec-003",
    )


_EXPECTED = {
    "date": "an ISO date such as 2031-05-14",
    "id": "a UUID",
    "device_at": "an instant with its zone, such as 2031-05-14T09:30:00+00:00",
}
