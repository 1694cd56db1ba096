"""The description of the API as a plain page, made from the same OpenAPI document."""

from html import escape
from typing import Any

from flask import Flask, Response

from dashboard.entry.door import door

EXAMPLE = '''import json
import urllib.request

def ask(path, body=None):
    head = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}
    data = json.dumps(body).encode() if body is not None else None
    request = urllib.request.Request(base + path, data=data, headers=head)
    with urllib.request.urlopen(request) as answer:
        return json.load(answer)

def every(path):
    """All items of a list, page by page."""
    after = ""
    while after is not None:
        page = ask(f"{path}?limit=500&after={after}")
        yield from page["items"]
        after = page["next"]

late = [due for due in every("/api/v1/dues") if due["late_on"] < today]
'''
"""Wants `base`, `token` and `today`; a test runs it as it stands here."""


def add_page(server: Flask, spec: Any) -> None:  # noqa: ANN401 - apispec is not typed
    """Serve the page at /api/v1/."""

    @server.get("/api/v1/")
    def described() -> Response:
        return door("The record for programs", page_html(spec.to_dict()))


def page_html(said: dict[str, Any]) -> str:
    """Every operation with what it takes."""
    parts = [
        f"<p>{escape(said['info']['description'])}</p>",
        '<p>For programs: <a href="/api/v1/openapi.json">openapi.json</a>, OpenAPI '
        '3.1. Maps: <a href="/ogc/">OGC API Features</a>.</p>',
        "<h2>From Python</h2>",
        f"<pre><code>{escape(EXAMPLE)}</code></pre>",
        "<h2>Addresses</h2>",
        "<dl>",
    ]
    for path, operations in said["paths"].items():
        for method, operation in operations.items():
            if isinstance(operation, dict) and "responses" in operation:
                parts += _operation(method, path, operation)
    return "\n".join([*parts, "</dl>"])


def _operation(method: str, path: str, operation: dict[str, Any]) -> list[str]:
    asked = [p["name"] for p in operation.get("parameters", ()) if "name" in p]
    lines = [
        f"<dt><code>{method.upper()} {escape(path)}</code></dt>",
        f"<dd>{escape(operation.get('summary', ''))}",
    ]
    if operation.get("description"):
        lines.append(f"<br>{escape(operation['description'])}")
    if asked:
        lines.append(f"<br>Asked by: {escape(', '.join(asked))}")
    return [*lines, "</dd>"]
