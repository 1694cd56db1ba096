"""The register as a table: its columns, its order, its pages."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.attributes import aria, data
from dashboard.components.entries import support_link
from dashboard.components.standing import UNKNOWN, standing_mark
from dashboard.components.tables import Cell
from dashboard.components.text import counted, day, listed, sentence
from monitor.services.showing.register_page import FoundLines
from monitor.store.overview import OverviewLine

REMOVED = "removed"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the register.

    Attributes
    ----------
    order : name of the order that it sorts by; empty if it does not
    cell : what the page shows
    text : the same as plain words, for files
    """

    name: str
    heading: str
    order: str
    cell: Callable[[OverviewLine], Cell]
    text: Callable[[OverviewLine], str]


@dataclass(frozen=True, slots=True)
class Sought:
    """What the address of the register asks for."""

    words: str = ""
    order: str = "code"
    is_descending: bool = False
    page: int = 1

    def address(self, path: str = "/register") -> str:
        """Where this is to be found."""
        asked = {
            "q": self.words,
            "sort": "" if self.order == "code" else self.order,
            "down": "1" if self.is_descending else "",
            "page": "" if self.page == 1 else str(self.page),
        }
        given = {name: value for name, value in asked.items() if value}
        return f"{path}?{urlencode(given)}" if given else path


def _plain(
    name: str, heading: str, text: Callable[[OverviewLine], str], order: str = ""
) -> Column:
    return Column(name, heading, order, text, text)


def _standing(line: OverviewLine) -> Component:
    if line.removed_on is not None:
        return html.Span(
            [html.Span(className="shape shape--removed"), REMOVED],
            className="standing standing--removed",
        )
    return standing_mark(line.standing)


def _standing_text(line: OverviewLine) -> str:
    if line.removed_on is not None:
        return REMOVED
    return line.standing.value if line.standing else UNKNOWN


def _next(line: OverviewLine) -> str:
    is_owed = line.due_on is not None and line.removed_on is None
    return day(line.due_on) if is_owed and line.due_on else ""


ALWAYS = (
    Column("code", "Code", "code", lambda x: support_link(x.code), lambda x: x.code),
    Column("standing", "Standing", "standing", _standing, _standing_text),
)
CHOSEN = (
    _plain("site", "Site", lambda x: x.site, "site"),
    _plain("tree", "Tree", lambda x: x.tree, "tree"),
    Column("species", "Species", "species", lambda x: html.I(x.species),
           lambda x: x.species),
    _plain("kinds", "Made of", lambda x: listed([kind.value for kind in x.kinds])),
    _plain("due", "Next due", _next, "due"),
    _plain("last", "Last looked", lambda x: day(x.last_on) if x.last_on else "never"),
    _plain("reason", "Why it is there", lambda x: x.reason),
    _plain("target", "Beneath it", lambda x: x.target),
    _plain("installed", "In place since", lambda x: day(x.installed_on)),
    _plain("why", "Reason of the standing", lambda x: " ".join(x.standing_reasons)),
)  # fmt: skip
USUAL = ("site", "tree", "species", "kinds", "due", "last")


def columns_named(names: Sequence[str]) -> tuple[Column, ...]:
    """Code and standing, then those chosen, in the order of the register."""
    return (*ALWAYS, *(column for column in CHOSEN if column.name in names))


def register_table(
    found: FoundLines, sought: Sought, names: Sequence[str]
) -> list[Component]:
    """The page of the table, and the way to the other pages."""
    if not found.lines:
        return []
    columns = columns_named(names)
    head = html.Thead(html.Tr([_heading(column, sought) for column in columns]))
    rows = [
        html.Tr([html.Td(c.cell(line), **data(heading=c.heading)) for c in columns])
        for line in found.lines
    ]
    table = html.Table(
        [html.Caption("Supports", className="unseen"), head, html.Tbody(rows)],
        className="quiet register",
    )
    return [html.Div(table, className="register-frame"), *_pages(found, sought)]


def found_words(found: FoundLines, sought: Sought) -> str:
    """How many fit the words; nothing if none were typed."""
    if not sought.words.strip():
        return ""
    if not found.total:
        return "No support fits these words."
    return sentence(counted(found.total, "support fits", "supports fit")) + "."


def _heading(column: Column, sought: Sought) -> html.Th:
    if not column.order:
        return html.Th(column.heading, scope="col")
    is_here = column.order == sought.order
    down = is_here and not sought.is_descending
    to = Sought(sought.words, column.order, down)
    arrow = ("\u2009↓" if sought.is_descending else "\u2009↑") if is_here else ""
    link = dcc.Link([column.heading, html.Span(arrow, **aria(hidden="true"))],
                    href=to.address())  # fmt: skip
    sorting = "descending" if sought.is_descending else "ascending"
    return html.Th(link, scope="col", **(aria(sort=sorting) if is_here else {}))


def _pages(found: FoundLines, sought: Sought) -> list[Component]:
    if found.pages == 1:
        return []
    steps: list[Component] = []
    for name, page in (("Earlier", found.page - 1), ("Later", found.page + 1)):
        if 1 <= page <= found.pages:
            to = Sought(sought.words, sought.order, sought.is_descending, page)
            steps.append(dcc.Link(name, href=to.address(), className="step"))
    here = html.Span(f"Page {found.page} of {found.pages}", className="quiet")
    return [html.Nav([*steps, here], className="steps", **aria(label="Pages of it"))]
