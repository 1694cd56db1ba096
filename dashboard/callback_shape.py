"""Refuses what is no callback of ours before Dash trips over it."""

from typing import Any

from dash import Dash
from flask import Flask, request
from werkzeug.exceptions import BadRequest

CALLBACKS = "/_dash-update-component"


def check_callbacks(app: Dash) -> None:
    """Answer a malformed callback with 400 and a sentence instead of an error."""
    server: Flask = app.server

    @server.before_request
    def before() -> None:
        if request.path == CALLBACKS and request.method == "POST":
            body: Any = request.get_json(silent=True)
            if not _is_shaped(body) or body["output"] not in app.callback_map:
                raise BadRequest("This is no request that these pages make.")


def _is_shaped(body: object) -> bool:
    """Whether it names an output, and inputs and states with their ids."""
    if not isinstance(body, dict) or not isinstance(body.get("output"), str):
        return False
    if not isinstance(body.get("outputs"), (dict, list)):
        return False
    changed = body.get("changedPropIds")
    if not isinstance(changed, list) or not all(isinstance(c, str) for c in changed):
        return False
    return all(_are_values(body.get(part, [])) for part in ("inputs", "state"))


def _are_values(values: object) -> bool:
    if not isinstance(values, list):
        return False
    return all(
        _are_values(value)
        if isinstance(value, list)
        else isinstance(value, dict) and {"id", "property"} <= value.keys()
        for value in values
    )
