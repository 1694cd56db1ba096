"""Inspections that are owed, as lists under their headings."""

from urllib.parse import quote, urlencode

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.attributes import aria
from dashboard.components.entries import entries, headed, support_entry
from dashboard.components.offered import is_offered, record_link
from dashboard.components.text import counted, month, sentence
from monitor.domain.rights import Right
from monitor.services.showing.due_page import DueChoice, DuePage, DuePart, pages_of
from monitor.services.showing.register import DueLine, Owed

_HEADINGS = {Owed.LATE: "Late", Owed.DUE: "Due now", Owed.OPEN: "May be done now"}


def due_lists(found: DuePage, choice: DueChoice) -> list[Component]:
    """What was chosen: the first of every group, or a page of one."""
    parts = [_part(part, choice, found.page) for part in found.parts]
    if found.later:
        many = sentence(counted(found.later, "more inspection"))
        verb = "is" if found.later == 1 else "are"
        parts.append(html.P(f"{many} {verb} owed after that.", className="quiet"))
    return parts or [html.P("Nothing is owed here.", className="lead")]


def _part(part: DuePart, choice: DueChoice, page: int) -> Component:
    heading = month(part.month) if part.month else _HEADINGS[part.owed]
    shown: list[Component] = [entries([_entry(due) for due in part.lines])]
    if choice.part:
        shown += _pages(part, choice, page)
    elif part.total > len(part.lines):
        words = f"All {part.total} of them"
        shown.append(html.P(dcc.Link(words, href=_address(choice, part.name))))
    return headed(heading, shown)


def _pages(part: DuePart, choice: DueChoice, page: int) -> list[Component]:
    last = pages_of(part.total)
    steps: list[Component] = [
        dcc.Link(words, href=_address(choice, part.name, to), className="step")
        for words, to in (("Earlier", page - 1), ("Later", page + 1))
        if 1 <= to <= last
    ]
    back = html.P(dcc.Link("All that is owed", href=_address(choice, "")))
    if last == 1:
        return [back]
    here = html.Span(f"Page {page} of {last}", className="quiet")
    nav = html.Nav([*steps, here], className="steps", **aria(label="Pages of it"))
    return [nav, back]


def _address(choice: DueChoice, part: str, page: int = 1) -> str:
    asked = {"site": choice.site, "kind": choice.kind, "part": part}
    asked["page"] = "" if page == 1 else str(page)
    query = urlencode({name: value for name, value in asked.items() if value})
    return f"/due?{query}" if query else "/due"


def _entry(due: DueLine) -> html.Li:
    line = due.line
    words: list[str | Component] = []
    if due.days_late > 0:
        words.append(html.Strong(f"{sentence(counted(due.days_late, 'day'))} late. "))
    words += [line.due_sentence + " ", *record_link(line.code)]
    if is_offered(Right.PLAN):
        later = f"/due/days?support={quote(line.code, safe='')}"
        words += [" · ", dcc.Link("put it off", href=later)]
    inspection = f"{line.due_kind.value} inspection" if line.due_kind else "inspection"
    place = f"{line.site}, {line.tree}, {line.species}. {sentence(inspection)}."
    return support_entry(line.code, place, words, line.standing)
