"""Asking for pages and pressing buttons through Dash's own address."""

import json
import re
from collections.abc import Iterator
from typing import Any

from flask.testing import FlaskClient

from tests.dashboard.conftest import OWN

UPDATE = "/_dash-update-component"


def show(client: FlaskClient, path: str, search: str = "") -> dict[str, Any]:
    """What the shell shows for an address."""
    body = {
        "output": "..shell-page.children...shell-title.data...shell-places.children..",
        "outputs": [
            {"id": "shell-page", "property": "children"},
            {"id": "shell-title", "property": "data"},
            {"id": "shell-places", "property": "children"},
        ],
        "inputs": [
            {"id": "shell-address", "property": "pathname", "value": path},
            {"id": "shell-address", "property": "search", "value": search},
        ],
        "changedPropIds": ["shell-address.pathname"],
    }
    answer = client.post(UPDATE, json=body, headers=OWN)
    assert answer.status_code == 200, answer.text
    return answer.get_json()["response"]


def words_of(tree: object) -> str:
    """Every word in a piece of a page, in order."""
    return re.sub(r"[ \n]+", " ", " ".join(_texts(tree)))


def page_words(client: FlaskClient, path: str, search: str = "") -> str:
    """The words of the page at an address, with what is drawn once it is there."""
    page = show(client, path, search)["shell-page"]["children"]
    words = words_of(page)
    if "support-readings" in set(map(str, ids_of(page))):
        words += " " + words_of(readings(client, path.rpartition("/")[2]))
    return words


def readings(client: FlaskClient, code: str) -> object:
    """What the page of a support draws once it is there."""
    body = {
        "output": "support-readings.children",
        "outputs": {"id": "support-readings", "property": "children"},
        "inputs": [{"id": "support-code", "property": "data", "value": code}],
        "changedPropIds": ["support-code.data"],
    }
    answer = client.post(UPDATE, json=body, headers=OWN)
    assert answer.status_code == 200, answer.text
    return answer.get_json()["response"]["support-readings"]["children"]


def ids_of(tree: object) -> Iterator[object]:
    """Every id in a piece of a page."""
    for node in _nodes(tree):
        if "props" in node and "id" in node["props"]:
            yield node["props"]["id"]


def tags_of(tree: object) -> list[str]:
    """Every kind of element in a piece of a page, in order."""
    return [node["type"] for node in _nodes(tree) if "type" in node]


def plain(component: object) -> Any:
    """A layout as the browser gets it."""
    from plotly.utils import PlotlyJSONEncoder

    return json.loads(json.dumps(component, cls=PlotlyJSONEncoder))


def _nodes(tree: object) -> Iterator[dict[str, Any]]:
    if isinstance(tree, list):
        for part in tree:
            yield from _nodes(part)
    elif isinstance(tree, dict):
        yield tree
        for part in tree.values():
            yield from _nodes(part)


def _texts(tree: object) -> Iterator[str]:
    if isinstance(tree, str):
        yield tree
    elif isinstance(tree, list):
        for part in tree:
            yield from _texts(part)
    elif isinstance(tree, dict) and "props" in tree:
        props = tree["props"]
        yield from _texts(props.get("children"))
        for option in props.get("options") or ():
            yield from _texts(option["label"] if isinstance(option, dict) else option)
