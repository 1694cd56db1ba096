"""The marker sheet as a page to print: four markers around an open middle."""

from html import escape

from flask import Blueprint, Response, request

from monitor.errors import NotFound
from monitor.photogrammetry.marker_sheet import (
    SHEETS,
    MarkerSheet,
    modules_of,
)

_DESK = ("A4", "Letter")


def add_routes(field: Blueprint) -> None:
    """One page for each paper; the card is printed on either."""

    @field.get("/markers")
    def markers() -> Response:
        wanted = request.args.get("paper", "")
        if not wanted:
            return _choice()
        for sheet in SHEETS:
            if sheet.name.casefold() == wanted.casefold():
                return _page(sheet)
        names = ", ".join(sheet.name for sheet in SHEETS)
        raise NotFound("marker sheet", wanted, hint=f"There are {names}.")


def drawing_of(sheet: MarkerSheet) -> str:
    """The sheet as SVG; a unit is a millimetre."""
    left, top, right, bottom = sheet.window
    window = (
        f'<rect x="{left:g}" y="{top:g}" width="{right - left:g}" '
        f'height="{bottom - top:g}" fill="none" stroke="#000" stroke-width="0.3" '
        'stroke-dasharray="3 2"/>'
    )
    parts = [_marker(sheet, key) for key in sheet.ids]
    parts += [window, _arrow(sheet), _ruler(sheet), *_words(sheet)]
    size = f'width="{sheet.width:g}mm" height="{sheet.height:g}mm"'
    box = f'viewBox="0 0 {sheet.width:g} {sheet.height:g}"'
    title = f"<title>Marker sheet, {escape(sheet.name)}</title>"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} {box} class="markers" '
        f'role="img">{title}{"".join(parts)}</svg>'
    )


def _marker(sheet: MarkerSheet, key: int) -> str:
    """Black squares in runs, so that no hairline of white shows between them."""
    x, y = sheet.origin(key)
    side = sheet.module
    runs = []
    for row, blacks in enumerate(modules_of(key)):
        start = None
        for column, is_black in enumerate([*blacks, False]):
            if is_black and start is None:
                start = column
            elif not is_black and start is not None:
                across = (column - start) * side
                runs.append(
                    f"M{x + start * side:.3f} {y + row * side:.3f}h{across:.3f}"
                    f"v{side:.3f}h-{across:.3f}z"
                )
                start = None
    return f'<path d="{"".join(runs)}" fill="#000" shape-rendering="crispEdges"/>'


def _arrow(sheet: MarkerSheet) -> str:
    middle, top = sheet.width / 2, sheet.margin
    return f'<path d="M{middle:g} {top:g}l5 8h-3.4v8h-3.2v-8h-3.4z" fill="#000"/>'


def _ruler(sheet: MarkerSheet) -> str:
    """The check line, upright in the strip left of the open middle."""
    length = sheet.ruler
    x = sheet.window[0] - 6
    y = (sheet.height - length) / 2
    ticks = "".join(
        f"M{x:g} {y + step:g}h-{4 if step % 50 == 0 else 2}"
        for step in range(0, int(length) + 1, 10)
    )
    line = f'<path d="M{x:g} {y:g}v{length:g}{ticks}" fill="none" stroke="#000" '
    return f'{line}stroke-width="0.25"/>'


def _words(sheet: MarkerSheet) -> list[str]:
    """Short on the card, full on the paper; all sizes are stated."""
    middle, small = sheet.width / 2, 2.2 if sheet.name == "card" else 3.2
    low = sheet.height - sheet.margin
    above = [
        "this way up the stem",
        f"{sheet.name} · marker {sheet.marker:g} mm",
        f"4 × 4 bits, numbers {sheet.ids[0]} to {sheet.ids[-1]}",
    ]
    top = sheet.margin + 19
    lines = [(top + n * small * 1.35, words) for n, words in enumerate(above)]
    check = f"The line at the left is {sheet.ruler:g} mm if true."
    if sheet.name == "card":
        lines.append((low - 8, check))
    else:
        lines.append((low - 12, check))
        lines.append(
            (low - 6, "Cut out along the dashes. Lay it flat, do not wrap it.")
        )
    return [
        f'<text x="{middle:g}" y="{y:.2f}" font-size="{small:g}" text-anchor="middle" '
        f'font-family="system-ui, sans-serif" fill="#000">{escape(words)}</text>'
        for y, words in lines
    ]


def _choice() -> Response:
    links = "".join(
        f'<li><a href="/field/markers?paper={sheet.name}">{escape(sheet.name)}</a>, '
        f"{sheet.width:g} × {sheet.height:g} mm, for openings up to "
        f"{sheet.window[2] - sheet.window[0]:.0f} × "
        f"{sheet.window[3] - sheet.window[1]:.0f} mm</li>"
        for sheet in SHEETS
    )
    return _answer("Marker sheets", f"<h1>Marker sheets</h1><ul>{links}</ul>{_HOW}")


def _page(sheet: MarkerSheet) -> Response:
    paper = sheet.name if sheet.name in _DESK else "A4"
    style = f"<style>@page {{ size: {paper}; margin: 0; }}</style>"
    told = f'<div class="told"><h1>Marker sheet, {escape(sheet.name)}</h1>{_HOW}</div>'
    return _answer(f"Marker sheet, {sheet.name}", style + told + drawing_of(sheet))


_HOW = """<p>Print at 100 %, on stiff matt paper. Measure the check line: if it is not
true, type what it measures where the photograph is traced. Cut the middle out, lay the
sheet flat around the wound with its arrow up the stem, and photograph it so that all
four markers are sharp and nearly fill the picture. The height of the sheet above the
wood counts most: 20 mm at 400 mm are 10 % of the area. Say how high it lies. Do not
wrap it around the stem; for a thin stem take the card.</p>"""


def _answer(title: str, body: str) -> Response:
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
{body}
</body>
</html>"""
    )
