"""Our own documents as parts of a page: the few marks they use, and nothing else.

Headings, paragraphs, lists, tables, code, pictures, emphasis and links. HTML is shown
as the letters it is; a link leads within this program or nowhere.
"""

import re
from collections.abc import Callable, Iterator

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.tables import Cell, quiet_table

_HEADINGS = {1: html.H1, 2: html.H2, 3: html.H3, 4: html.H4}
_OPENING = re.compile(r"#{1,4} |```|\||!\[|(?:[-*]|\d+\.) |<!--")
_ITEM = re.compile(r"(?P<mark>[-*]|\d+\.) +(?P<text>.*)")
_PICTURE = re.compile(r"!\[(?P<words>[^\]]*)\]\((?P<to>[^)\s]+)\)")
_INLINE = re.compile(
    r"`(?P<code>[^`]+)`|\*\*(?P<strong>[^*]+)\*\*|\*(?P<weak>[^*\s][^*]*)\*"
    r"|\[(?P<words>[^\]]+)\]\((?P<to>[^)\s]+)\)"
)
_OWN = re.compile(r"[a-z-]+\.md(#[\w-]+)?|#[\w-]+|/[\w/.?=&-]*")
_ASSETS = "../assets/"


def page_parts(text: str) -> list[Component]:
    """The document as components, in order."""
    return list(_blocks(text.split("\n")))


def headings(text: str, level: int = 2) -> list[tuple[str, str]]:
    """Every heading of a level with the key that a link to it ends with."""
    start = "#" * level + " "
    found = [line[len(start) :] for line in text.split("\n") if line.startswith(start)]
    return [(plain(words), key_of(words)) for words in found]


def key_of(words: str) -> str:
    """What a link to a heading ends with.

    Examples
    --------
    >>> key_of("Backup, and `restore`")
    'part-backup-and-restore'
    """
    return "part-" + "-".join(re.findall(r"[a-z0-9]+", plain(words).lower()))


def plain(words: str) -> str:
    """A line without its marks."""
    return _INLINE.sub(lambda m: next(g for g in m.groups() if g is not None), words)


def inline(text: str) -> list[str | Component]:
    """A line with emphasis, code and links."""
    parts: list[str | Component] = []
    end = 0
    for found in _INLINE.finditer(text):
        parts += [text[end : found.start()], _marked(found)]
        end = found.end()
    return [part for part in (*parts, text[end:]) if part != ""]


def _marked(found: re.Match[str]) -> Component:
    if found["code"] is not None:
        return html.Code(found["code"])
    if found["strong"] is not None:
        return html.Strong(inline(found["strong"]))
    if found["weak"] is not None:
        return html.Em(inline(found["weak"]))
    return _link(found["words"], found["to"])


def _link(words: str, to: str) -> Component:
    if not _OWN.fullmatch(to):
        return html.Span(plain(words))
    if to.startswith("#"):
        return html.A(inline(words), href=f"#part-{to[1:]}")
    name, _, part = to.partition(".md")
    to_part = f"#part-{part[1:]}" if part else ""
    address = to if to.startswith("/") else f"/guides/{name}{to_part}"
    return dcc.Link(inline(words), href=address)


def _blocks(lines: list[str]) -> Iterator[Component]:
    at = 0
    while at < len(lines):
        line = lines[at]
        if not line.strip() or line.startswith("<!--"):
            at += 1
        elif line.startswith("```"):
            end = _index(lines, at + 1, lambda text: text.startswith("```"))
            yield html.Pre(html.Code("\n".join(lines[at + 1 : end])), tabIndex=0)
            at = end + 1
        elif line.startswith("|"):
            end = _index(lines, at, lambda text: not text.startswith("|"))
            yield _table(lines[at:end])
            at = end
        elif _ITEM.match(line):
            end = _end_of_list(lines, at)
            yield _list(lines[at:end])
            at = end
        elif line.startswith("#") or _PICTURE.fullmatch(line):
            yield _heading(line) if line.startswith("#") else _picture(line)
            at += 1
        else:
            end = _index(lines, at + 1, _ends_paragraph)
            yield html.P(inline(" ".join(text.strip() for text in lines[at:end])))
            at = end


def _index(lines: list[str], start: int, is_end: Callable[[str], bool]) -> int:
    return next((n for n in range(start, len(lines)) if is_end(lines[n])), len(lines))


def _ends_paragraph(line: str) -> bool:
    return not line.strip() or bool(_OPENING.match(line))


def _heading(line: str) -> Component:
    marks, _, words = line.partition(" ")
    made = _HEADINGS[len(marks)]
    if len(marks) == 1:
        return made(inline(words))
    return made(inline(words), id=key_of(words))


def _picture(line: str) -> Component:
    found = _PICTURE.fullmatch(line)
    if found is None or not found["to"].startswith(_ASSETS):
        return html.P(line)
    source = "/assets/" + found["to"].removeprefix(_ASSETS)
    return html.Img(src=source, alt=found["words"], className="guide-picture")


def _table(lines: list[str]) -> Component:
    head, _, *rows = [_cells(line) for line in lines]
    titles = [plain(words) for words in head]
    shown: list[list[Cell]] = [[inline(cell) for cell in row] for row in rows]
    return quiet_table(titles, shown, caption=", ".join(t for t in titles if t))


def _cells(line: str) -> list[str]:
    inner = line.strip().removeprefix("|").removesuffix("|")
    return [c.strip().replace(r"\|", "|") for c in re.split(r"(?<!\\)\|", inner)]


def _end_of_list(lines: list[str], start: int) -> int:
    """After the last item: a line at the margin that is no item ends the list."""
    end = start
    for n in range(start, len(lines)):
        line = lines[n]
        if _ITEM.match(line) or line.startswith("  "):
            end = n + 1
        elif line.strip():
            break
    return end


def _list(lines: list[str]) -> Component:
    items: list[list[str]] = []
    for line in lines:
        found = _ITEM.match(line)
        if found:
            items.append([found["text"]])
        else:
            items[-1].append(line.strip() if line.startswith("  ") else "")
    shown = [html.Li(_item(item)) for item in items]
    number = re.match(r"\d+", lines[0])
    if number is None:
        return html.Ul(shown, className="guide-list")
    return html.Ol(shown, start=number[0], className="guide-list")


def _item(lines: list[str]) -> list[str | Component]:
    parts = list(_blocks(lines))
    if len(parts) == 1 and isinstance(parts[0], html.P):
        return list(parts[0].children)
    return list(parts)
