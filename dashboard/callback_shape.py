"""Refuses what is no callback of ours before Dash trips over it.

A callback's body names the fields that the page declared, in their order, and fills
them with what such a field can hold. Anything else was not made by our pages.
"""

from collections.abc import Callable
from typing import Any

from dash import Dash
from flask import Flask, g, request
from werkzeug.exceptions import BadRequest

CALLBACKS = "/_dash-update-component"
DEEPEST = 60
LONGEST_PATH = 2_000
MOST_CLICKS = 2**31


UNREADABLE = (
    TypeError,
    KeyError,
    IndexError,
    AttributeError,
    ValueError,
    OverflowError,
)
"""What a callback stumbles over when what the browser kept for us was tampered with."""

_KEPT = frozenset(
    {"data", "relayoutData", "clickData", "selectedData", "virtualRowData"}
)


def check_callbacks(app: Dash) -> None:
    """Answer a malformed callback with 400 and a sentence instead of an error."""
    server: Flask = app.server

    @server.before_request
    def before() -> None:
        is_callback = request.path == CALLBACKS and request.method == "POST"
        if not is_callback:
            return
        body: Any = _body()
        if not is_ours(app, body):
            raise BadRequest("This is no request that these pages make.")
        g.took_kept = _takes_kept(body)


def text_fields(app: Dash) -> frozenset[str]:
    """Ids of fields whose value is words: lines of text and choices of one."""
    layout: Any = app.validation_layout
    found = set()
    for part in layout._traverse():
        kind, key = getattr(part, "_type", ""), getattr(part, "id", None)
        is_number = getattr(part, "type", "text") == "number"
        is_several = bool(getattr(part, "multi", False))
        if kind in _WORDS and isinstance(key, str) and not (is_number or is_several):
            found.add(key)
    return frozenset(found)


_WORDS = frozenset({"Input", "Textarea", "RadioItems", "Dropdown"})


def is_ours(app: Dash, body: object) -> bool:
    """Whether it asks one of our callbacks with fields as the page declared them."""
    if not isinstance(body, dict) or not isinstance(body.get("output"), str):
        return False
    declared = app.callback_map.get(body["output"])
    if declared is None or "callback" not in declared or not _is_shaped(body):
        return False  # the ones without run in the browser only
    words = _words_of(app)
    return _outputs_fit(body["output"], body["outputs"]) and all(
        _fit(declared.get(part, []), body.get(part, []), words)
        for part in ("inputs", "state")
    )


def _words_of(app: Dash) -> frozenset[str]:
    kept: frozenset[str] | None = app.server.config.get(_KEPT_WORDS)
    if kept is None:
        kept = app.server.config[_KEPT_WORDS] = text_fields(app)
    return kept


_KEPT_WORDS = "UNDERPROP_TEXT_FIELDS"


def _takes_kept(body: dict[str, Any]) -> bool:
    """Whether it brings something back that the browser kept for us."""
    fields = [*body.get("inputs", []), *body.get("state", [])]
    return any(isinstance(one, list) or one["property"] in _KEPT for one in fields)


def _body() -> object:
    try:
        return request.get_json(silent=True)
    except RecursionError:
        return None


def _is_shaped(body: dict[str, Any]) -> bool:
    if not isinstance(body.get("outputs"), (dict, list)):
        return False
    changed = body.get("changedPropIds")
    if not isinstance(changed, list) or not all(isinstance(c, str) for c in changed):
        return False
    return body.get("parsedChangedPropsIds") is None or isinstance(
        body["parsedChangedPropsIds"], list
    )


def _outputs_fit(output: str, outputs: object) -> bool:
    """Whether it wants the answer where the callback gives it."""
    wanted = output.strip(".").split("...")
    given = outputs if output.startswith("..") else [outputs]
    if not isinstance(given, list) or len(given) != len(wanted):
        return False
    return all(_is_output(name, one) for name, one in zip(wanted, given, strict=True))


def _is_output(wanted: str, given: object) -> bool:
    key, _, name = wanted.rpartition(".")
    each: list[Any] = given if isinstance(given, list) else [given]
    if not all(_names(one) and one["property"] == name for one in each):
        return False
    if key.startswith("{"):
        return all(isinstance(one["id"], dict) and _is_flat(one["id"]) for one in each)
    return not isinstance(given, list) and each[0]["id"] == key


def _is_flat(key: dict[str, Any]) -> bool:
    return bool(key) and all(isinstance(one, (str, int)) for one in key.values())


def _fit(declared: list[dict[str, Any]], given: object, words: frozenset[str]) -> bool:
    """Each declared field once, in order; a pattern gives a list of fields."""
    if not isinstance(given, list) or len(given) != len(declared):
        return False
    return all(
        _fits(field, value) and _is_worded(value, words)
        for field, value in zip(declared, given, strict=True)
    )


def _fits(declared: dict[str, Any], given: Any) -> bool:  # noqa: ANN401 - from afar
    if str(declared["id"]).startswith("{"):
        each = given if isinstance(given, list) else [given]
        return all(
            _names(one) and isinstance(one["id"], dict) and _holds(one) for one in each
        )
    is_it = _names(given) and all(
        given[part] == declared[part] for part in ("id", "property")
    )
    return is_it and _holds(given)


def _is_worded(given: Any, words: frozenset[str]) -> bool:  # noqa: ANN401 - from afar
    """Whether a field of words holds words or nothing."""
    if not isinstance(given, dict) or given["property"] != "value":
        return True
    is_words = isinstance(given["id"], str) and given["id"] in words
    value = given.get("value")
    return not is_words or value is None or isinstance(value, str)


def _names(one: object) -> bool:
    if not isinstance(one, dict) or not isinstance(one.get("property"), str):
        return False
    return isinstance(one.get("id"), (str, dict))


def _holds(one: dict[str, Any]) -> bool:
    """Whether the field can hold that value; None stands for an empty one."""
    value = one.get("value")
    fits = _TYPES.get(one["property"], _is_plain)
    return value is None or fits(value)


def _is_count(value: object) -> bool:
    is_whole = isinstance(value, int) and not isinstance(value, bool)
    return is_whole and 0 <= value < MOST_CLICKS  # type: ignore[operator]


def _is_text(value: object) -> bool:
    try:
        return isinstance(value, str) and bool(value.encode("utf-8") or True)
    except UnicodeEncodeError:
        return False


def _is_path(value: object) -> bool:
    return _is_text(value) and len(str(value)) <= LONGEST_PATH


def _is_typed(value: object) -> bool:
    """What a person types or chooses: words, a number, yes, or some of these."""
    if isinstance(value, list):
        return all(_is_text(one) or isinstance(one, (int, float)) for one in value)
    return _is_text(value) or isinstance(value, (int, float))


def _is_event(value: object) -> bool:
    return isinstance(value, dict) and _is_plain(value)


def _is_plain(value: object, deep: int = 0) -> bool:
    if deep > DEEPEST:
        return False
    if isinstance(value, dict):
        return all(_is_plain(one, deep + 1) for one in value.values())
    if isinstance(value, list):
        return all(_is_plain(one, deep + 1) for one in value)
    return True


_TYPES: dict[str, Callable[[object], bool]] = {
    "n_clicks": _is_count,
    "n_submit": _is_count,
    "n_intervals": _is_count,
    "n_blur": _is_count,
    "pathname": _is_path,
    "search": _is_path,
    "href": _is_path,
    "hash": _is_path,
    "date": _is_text,
    "start_date": _is_text,
    "end_date": _is_text,
    "value": _is_typed,
    "contents": _is_text,
    "filename": _is_text,
    "relayoutData": _is_event,
    "clickData": _is_event,
    "selectedData": _is_event,
}
