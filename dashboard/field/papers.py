"""Printable tags with a square to scan, and the field sheet on paper."""

import io
from html import escape
from urllib.parse import quote

import segno
from flask import Blueprint, Response, request

from dashboard.context import AppContext
from dashboard.field.sheet import sheet_of
from monitor.errors import InvalidInput
from monitor.services.field.rounds import FieldSupport, RoundChoice, round_of

MODULE_MM = 1.0
"""Of the square on a tag: read at arm's length. (common practice, no source)"""


def add_routes(field: Blueprint, context: AppContext) -> None:
    """Tags and sheets as pages to print."""

    @field.get("/tags")
    def tags() -> Response:
        supports = _wanted(context)
        inside = "".join(_tag(support, request.url_root) for support in supports)
        told = (
            "One tag a support: the square opens its form on a signed-in phone, the "
            "letters are for the eye. Print at 100 %, laminate, and fix it where it "
            "does not cut the bark."
        )
        return _page(
            "Tags", f'<p class="told">{told}</p><div class="tags">{inside}</div>'
        )

    @field.get("/sheet")
    def sheet() -> Response:
        inside = "".join(sheet_of(support) for support in _wanted(context))
        return _page("Field sheet", inside)


def _wanted(context: AppContext) -> tuple[FieldSupport, ...]:
    codes = request.args.get("codes", "").replace(",", " ").split()
    if not codes:
        raise InvalidInput("Name the codes, as in ?codes=S-0142,S-0143.", field="codes")
    with context.store.read_session() as session:
        choice = RoundChoice(codes=tuple(codes))
        return round_of(session, choice, now=context.clock.now()).supports


def _tag(support: FieldSupport, root: str) -> str:
    address = f"{root}field/tag/{quote(support.code, safe='')}"
    return f"""<figure class="tag">
{_square(address)}
<figcaption><b>{escape(support.code)}</b>
<span>{escape(support.site)}, {escape(support.tree)}</span>
<span class="small">{escape(address)}</span></figcaption>
</figure>"""


def _square(address: str) -> str:
    """A QR code as drawing: error level Q, for scratches and moss (ISO/IEC 18004)."""
    drawn = io.BytesIO()
    code = segno.make(address, error="q", micro=False)
    code.save(
        drawn, kind="svg", xmldecl=False, svgns=True, scale=MODULE_MM, unit="mm",
        border=4, title=address,
    )  # fmt: skip
    return drawn.getvalue().decode()


def _page(title: str, body: str) -> Response:
    return Response(
        f"""<!DOCTYPE html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>{escape(title)} · Underprop</title>
<link rel="stylesheet" href="/field/web/paper.css">
</head>
<body>
<h1>{escape(title)}</h1>
{body}
</body>
</html>"""
    )
