"""Works that age calls for, as entries."""

from collections.abc import Sequence
from datetime import date

from dash import html
from dash.development.base_component import Component

from dashboard.components.entries import entries, entry, headed, support_entry
from dashboard.components.text import sentence
from monitor.schedule.upkeep import WorkOwed, work_state

SHOWN = 10
_PLANNING = (
    "A service life is a planning figure and no guarantee; a qualified person decides."
)


def works_part(works: Sequence[WorkOwed], today: date) -> list[Component]:
    """The section of a list; nothing if nothing is owed."""
    if not works:
        return []
    items = [support_entry(one.code, _state(one, today), one.sentence) for one in works]
    parts: list[Component] = [entries(items[:SHOWN])]
    if len(items) > SHOWN:
        rest = html.Summary(f"{len(items) - SHOWN} more, by their date")
        parts.append(html.Details([rest, entries(items[SHOWN:])]))
    parts.append(html.P(_PLANNING, className="quiet"))
    return [headed("Work that age calls for", parts)]


def works_entries(works: Sequence[WorkOwed], today: date) -> list[Component]:
    """The lines on the page of one support; nothing if nothing is owed."""
    if not works:
        return []
    margin = html.Span("work owed", className="margin-word")
    words: list[Component] = [
        html.P([one.sentence, " ", html.Span(_state(one, today), className="quiet")])
        for one in works
    ]
    words.append(html.P(_PLANNING, className="quiet"))
    return [entries([entry(margin, words)])]


def _state(work: WorkOwed, today: date) -> str:
    return f"{sentence(work_state(work, today))}."
